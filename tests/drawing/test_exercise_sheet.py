"""An exercise on paper: two pages, the answers on the second alone, and every text shown as text."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnose.drawing.exercise_sheet import exercise_html, exercise_pdf, exercise_text
from diagnose.practising.paper import Offered, on_paper, speaks_against
from tests.practising.by_hand import choose, practice, quiet

HOSTILE = '</li><script>alert(1)</script> #show "x" \u202egnp.exe \x1b[31m *bold* $x$ & "quoted" \\'
BENIGN = '</li><script>alert(1)</script> #show "x" '


@pytest.fixture(scope="module")
def paper():
    return on_paper(quiet("fuse-blown"))


def words(text):
    return " ".join(text.split())


def pages(made):
    return [words(page.extract_text()) for page in PdfReader(BytesIO(made)).pages]


def test_the_first_page_holds_the_choices_and_the_second_the_answers(paper):
    first, second = pages(exercise_pdf(paper))
    assert f"Hidden is: {paper.fault}" in second
    assert "Hidden is" not in first
    assert paper.code in first
    assert paper.code in second
    for number, trap in paper.traps:
        assert f"{number} {trap.says}" in first
        assert words(trap.because) in second
        assert words(trap.because) not in first
    told = {each.number: each for _, items in paper.told for each in items}
    assert words(told[1].answer) in second
    assert "cured" not in first


def test_the_same_exercise_gives_the_same_bytes(paper):
    assert exercise_pdf(paper) == exercise_pdf(on_paper(quiet("fuse-blown")))
    assert exercise_html(paper) == exercise_html(on_paper(quiet("fuse-blown")))


def test_the_numbers_and_answers_are_those_of_the_screen():
    each = quiet("fuse-blown")
    told = {one.number: one.answer for _, items in on_paper(each).told for one in items}
    assert told[each.by_id("fuse-blown").number] == "cured"
    assert told[each.by_id("valve-shut").number] == "not cured"
    volts = each.by_id("volts")
    choose(each, "volts")
    value = each.turns[0].finding.value
    assert value is None or told[volts.number].startswith(f"{value:.2f} V")


def test_plain_text_has_a_form_feed_between_its_two_pages(paper):
    first, second = exercise_text(paper).split("\f")
    assert "Hidden is" in second
    assert "Hidden is" not in first
    assert max(len(line) for line in (first + second).splitlines()) <= 78


class _Texts(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.said = set(), []

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)

    def handle_data(self, data):
        self.said.append(data)


def with_hostile_texts(paper):
    return replace(
        paper,
        symptom=HOSTILE,
        story=(HOSTILE,),
        fault=HOSTILE,
        offered=(("Ask", (Offered(1, HOSTILE, HOSTILE),)),),
    )


def test_whatever_a_tree_says_is_shown_as_text(paper):
    hostile = with_hostile_texts(paper)
    page = _Texts()
    page.feed(exercise_html(hostile))
    assert "script" not in page.tags
    assert BENIGN in words("".join(page.said))
    for made in ("".join(page.said), exercise_text(hostile), " ".join(pages(exercise_pdf(hostile)))):
        assert "\u202e" not in made
        assert "\x1b" not in made
    assert '#show "x"' in " ".join(pages(exercise_pdf(hostile)))


def test_an_answer_misleads_only_where_it_tells_causes_apart():
    each = practice("bottle-empty")
    assert speaks_against(each, "flame", "steady")
    assert not speaks_against(each, "flame", "none")
    assert not speaks_against(each, "flame", "not-sure")
    # Rare as it is, it is as rare with every cause.
    assert not speaks_against(each, "co-alarm", "none-fitted")
