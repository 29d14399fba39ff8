"""The sheet as HTML: every text as text, nothing that loads or runs, and all of it there for a screen."""

from __future__ import annotations

import re
from base64 import b64encode
from functools import lru_cache
from hashlib import sha256
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.drawing.locker_page import PAGE, PLAIN, POINTS_PER_MM, SLACK, lines_of
from diagnose.drawing.sheet_fit import _Reckoned, fit
from diagnose.drawing.sheet_html import sheet_html
from diagnose.drawing.sheet_layout import SIZES, laid_out
from diagnose.drawing.sheet_words import words_of
from diagnose.knowledge.catalogues import Catalogue, Entry
from diagnose.knowledge.languages import Language
from tests.drawing.made_up_sheets import CODE, ENGLISH, HARM, LONG_WORD, TURNED, made_up_sheet
from tests.walking.test_sheet_in_full import REFERRED, sheet_of

NO_END = ("meta", "path")


class Read(HTMLParser):
    """Elements with their attributes, and the text of the body; each element has to be closed in its turn."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in NO_END:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in NO_END:
            assert self.open.pop() == tag

        if tag in ("p", "li", "td", "th"):
            self.words.append(" ")

    def handle_data(self, data):
        if "body" in self.open:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


@lru_cache
def made(**about) -> str:
    return sheet_html(made_up_sheet(**about), ENGLISH)


def test_all_of_a_sheet_is_there_for_a_screen_whatever_has_room_in_print():
    page = Read(made(rows=60, causes=30, stopped=True))
    for text in (
        "STOPPED FOR DANGER Stopped because: Smell of gas? the answer Yes.", "HAND-OVER SHEET", "Case: 12",
        "09:59 Question 59: the answer? the answer 59", "10:00 What does the panel show? 12.4 ± 0.15 V",
        "What does it burn? the answer Gas", "Likely 5 the answer: 40% (0% to 90%)",
        "WARNING: Read the handbook.",
        f"{CODE} Read aloud: zero five seven Romeo", "30Cause 29: the answer", "Name: Date: Signature:",
        "This does not certify that the vehicle is safe.",
    ):  # fmt: skip
        assert text in page.text, text
    assert sum("off" in (about.get("class") or "").split() for _, about in page.elements) > 20
    assert '"What it turned out to be"' in page.text


def test_a_short_sheet_leaves_nothing_off_and_is_set_large():
    page = made(rows=1, causes=1)
    assert 'class="off"' not in page
    assert "No room here" not in page
    assert "font-size: 11pt" in page


@pytest.mark.parametrize("says", [HARM, LONG_WORD])
def test_every_text_is_shown_as_text(says):
    page = Read(made(says=says, rows=2, causes=2, stopped=True))
    assert page.text.count(" ".join(says.split())) > 12
    assert {tag for tag, _ in page.elements} == {tag for tag, _ in Read(made(stopped=True)).elements}
    assert not any(name.startswith("on") or name == "style" for _, about in page.elements for name in about)


def test_what_turns_the_direction_of_reading_is_taken_out():
    page = made(says=TURNED)
    assert "left \ufffdright\ufffd \ufffdend\ufffd bell\ufffd tab end" in page
    assert not set(page) & set("\u202e\u202c\u2066\u2069\x07\t")


def test_nothing_loads_and_nothing_runs_and_the_style_sheet_is_allowed_by_its_digest():
    text = made()
    page = Read(text)
    policy = next(about["content"] for tag, about in page.elements if about.get("http-equiv"))
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)[1]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert {tag for tag, _ in page.elements} & {"script", "link", "img", "iframe", "object", "form"} == set()
    assert not any(name in ("src", "href") for _, about in page.elements for name in about)
    assert "url(" not in style
    assert "$" not in style


def test_each_heading_names_its_part_and_no_id_stands_twice():
    page = Read(made(stopped=True))
    ids = [about["id"] for _, about in page.elements if "id" in about]
    named = [about["aria-labelledby"] for _, about in page.elements if "aria-labelledby" in about]
    assert len(ids) == len(set(ids))
    assert set(named) == set(ids)
    assert [tag for tag, _ in page.elements].count("h1") == 1


def test_in_another_language_what_is_english_still_says_so_and_is_marked_for_screen_readers():
    german = Language("de", Catalogue("p", {"{text} (English)": Entry("{text} (English)", ("{text} [E]",))}))
    page = sheet_html(sheet_of(*REFERRED, language=german), german)
    assert '<html lang="de">' in page
    assert '<span lang="en">It is the shut</span> [E]' in page
    assert Read(page).text.count("[E]") > 20


def test_the_same_sheet_gives_the_same_bytes():
    assert made() == sheet_html(made_up_sheet(), ENGLISH)


@pytest.mark.long
@settings(max_examples=25, deadline=None)
@given(st.integers(0, 60), st.integers(1, 30), st.sampled_from(["short", "some words " * 12]), st.booleans())
def test_the_largest_type_is_taken_that_is_reckoned_to_fit(rows, causes, says, stopped):
    sheet = made_up_sheet(rows=rows, causes=causes, says=says, stopped=stopped)
    words, laid = words_of(sheet, ENGLISH), laid_out(sheet, ENGLISH)
    page = fit(sheet, words, laid, ENGLISH)

    def height(size, gone=frozenset()):
        return _Reckoned(sheet, words, laid, ENGLISH, size, gone).height()

    assert height(page.size, page.gone) <= PAGE[1] - SLACK or len(page.gone) == len(laid.order)
    larger = [size for size in SIZES if size > page.size]
    assert all(height(size) > PAGE[1] - SLACK for size in larger)
    if page.gone:
        assert page.size == SIZES[-1]
        assert height(page.size) > PAGE[1] - SLACK


@pytest.mark.parametrize(("face", "bold"), [("Helvetica", False), ("Helvetica-Bold", True)])
def test_letters_are_reckoned_as_wide_as_in_the_plain_faces(face, bold):
    # Source: Adobe's metrics of the core 14 faces, a copy of which comes with pypdf; others are made alike.
    from pypdf._codecs.core_font_metrics import CORE_FONT_METRICS

    real = CORE_FONT_METRICS[face].character_widths
    widths = PLAIN.bold if bold else PLAIN.upright
    checked = [chr(code) for code in range(0x20, 0x7F) if chr(code) in real]
    assert len(checked) > 90
    for letter in checked:
        assert real[letter] / 1000 <= widths[letter] <= real[letter] / 1000 + 0.15, letter


def test_a_paragraph_takes_fewer_lines_on_more_width():
    text = [("word " * 60, False)]
    assert lines_of(text, 10, width=186.0, face=PLAIN) < lines_of(text, 10, width=90.0, face=PLAIN)
    assert lines_of([("x" * 30, False)], 10, width=30 * 0.501 * 10 / POINTS_PER_MM + 0.1, face=PLAIN) == 1
