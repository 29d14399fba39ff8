"""The locker card on one page: reckoned by the widest letters, and printed by a real browser."""

from __future__ import annotations

import re
import string
import subprocess
from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.drawing.locker_card import locker_html
from diagnose.drawing.locker_page import (
    PAGE,
    SIZES,
    SLACK,
    Entry,
    Section,
    _width,
    fit,
    height,
    left_off_in_words,
    lines_of,
    shortened,
)

LAST = "This does not certify that the vehicle is safe."
PLACE = "behind the third flap from the left, under the long seat, look for the red tape"


def card(parts, dates=2, about="Battery isolator"):
    return (
        Section("In danger", (Entry("", "All out into the open air, touch no switch. Call 112."),)),
        Section("Whom to call", (Entry("Gas engineer", "01632 960001"),), 1),
        Section("Where it is", tuple(Entry(f"{about} {at}", PLACE) for at in range(parts)), 3),
        Section("Dates", tuple(Entry("Gas hose", "of June 2015", at == 0) for at in range(dates)), 4),
        Section("What it has", (Entry("Heater fuel", "Gas"),), 5),
    )


def test_little_is_set_large_and_much_small_and_all_of_it_is_there():
    sizes = []
    for parts in (1, 6, 10, 14):
        page = fit("the blue van", card(parts), LAST)
        assert (page.sections, page.left_off) == (card(parts), ())
        assert height("the blue van", page.sections, (LAST,), page.size) <= PAGE[1] - SLACK
        sizes.append(page.size)
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] >= 20
    assert sizes[-1] < sizes[0]


def test_where_the_smallest_type_does_not_do_the_least_needed_is_left_off_and_counted():
    page = fit("the blue van", card(60, dates=3), LAST)
    assert page.size == SIZES[-1]
    gone = dict(page.left_off)
    assert set(gone) == {"What it has", "Dates", "Where it is"}
    kept = {section.title: section.entries for section in page.sections}
    # What is due and whom to call stay before any whereabouts do.
    assert kept["Dates"] == (Entry("Gas hose", "of June 2015", True),)
    assert "Whom to call" in kept
    assert "In danger" in kept
    assert len(kept["Where it is"]) + gone["Where it is"] == 60
    assert kept["Where it is"][0].about == "Battery isolator 0"
    below = (left_off_in_words(page.left_off), LAST)
    assert height("the blue van", page.sections, below, page.size) <= PAGE[1] - SLACK
    one_more = card(len(kept["Where it is"]) + 1, dates=1)[:4]
    assert height("the blue van", one_more, below, page.size) > PAGE[1] - SLACK


def test_the_sentence_about_the_rest_counts_it_by_heading():
    assert left_off_in_words(()) == ""
    assert left_off_in_words((("Dates", 2), ("What it has", 5))) == (
        'No room here for: 2 under "Dates", 5 under "What it has". See the card itself.'
    )


def test_nothing_of_the_first_rank_is_ever_left_off():
    sections = card(3)
    kept, left_off = shortened(sections, lambda sections, left_off: False)
    assert kept == sections[:1]
    assert sum(count for _, count in left_off) == sum(len(section.entries) for section in sections[1:])


words = st.text(string.ascii_letters + string.digits + "äßÆЖ漢🚐-/.", min_size=1, max_size=150)
texts = st.lists(words, min_size=1, max_size=40).map(" ".join)


@settings(max_examples=60, deadline=None)
@given(st.lists(texts, max_size=60), texts, st.booleans())
def test_whatever_is_written_comes_to_one_page(says, name, due):
    sections = (
        Section("In danger", (Entry("", "All out."),)),
        Section("Where it is", tuple(Entry("Flue", text[:120], due) for text in says), 3),
    )
    page = fit(name[:60], sections, LAST)
    below = (left_off_in_words(page.left_off), LAST)
    assert height(name[:60], page.sections, below, page.size) <= PAGE[1] - SLACK
    kept = sum(len(section.entries) for section in page.sections) - 1
    assert kept + sum(count for _, count in page.left_off) == len(says)


@given(texts, st.floats(10, 30))
def test_a_narrower_room_never_takes_fewer_lines(text, size):
    runs = [(text, False)]
    assert lines_of(runs, size) <= lines_of(runs, size * 1.1)
    assert lines_of(runs, size) <= lines_of(runs, size, indent=1.0)


@pytest.mark.parametrize(("file", "bold"), [("DejaVuSans.ttf", False), ("DejaVuSans-Bold.ttf", True)])
def test_letters_are_reckoned_no_narrower_than_in_a_wide_face(file, bold):
    # Source: the advance widths in the face itself (DejaVu Sans 2.37, a copy of which comes with matplotlib).
    from fontTools.ttLib import TTFont

    (folder,) = find_spec("matplotlib").submodule_search_locations
    face = TTFont(Path(folder) / "mpl-data" / "fonts" / "ttf" / file)
    per_size, advance, of = face["head"].unitsPerEm, face["hmtx"], face.getBestCmap()
    letters = [*range(0x20, 0x7F), *range(0xA1, 0x180), *range(0x370, 0x460), 0x2013, 0x2019, 0x201C]
    narrow = {
        chr(code): (advance[of[code]][0] / per_size, _width(chr(code), bold))
        for code in letters
        if code in of and code != 0xAD and advance[of[code]][0] / per_size > _width(chr(code), bold)
    }
    assert narrow == {}


BROWSER = ("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer")
PLAIN_FACES = 'Arial, Helvetica, "Liberation Sans", sans-serif'


def printed(html, folder):
    """The pages that a browser prints, as texts, and the size of the first in millimetres."""
    from pypdf import PdfReader

    source, sheet = folder / "card.html", folder / "card.pdf"
    source.write_text(html, encoding="utf-8")
    command = [*BROWSER, f"--user-data-dir={folder}", f"--print-to-pdf={sheet}", source.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=90)
    pages = PdfReader(sheet).pages
    box = pages[0].mediabox
    return [page.extract_text() for page in pages], (box.width / 72 * 25.4, box.height / 72 * 25.4)


@pytest.mark.long
@pytest.mark.parametrize("parts", [1, 10, 60])
@pytest.mark.parametrize("face", ["as it is", "DejaVu Sans", "monospace"])
def test_a_browser_prints_one_sheet_of_a4_with_all_that_was_kept(parts, face, need, tmp_path):
    need("chromium")
    name = "the blue van"
    page = fit(name, card(parts), LAST)
    html = locker_html(name, page)
    assert PLAIN_FACES in html
    if face == "DejaVu Sans":
        # The widest face, and no rule that would cut what is too long: it has to fit by itself.
        html = re.sub(r"@media print .*", "", html.replace(PLAIN_FACES, '"DejaVu Sans"'))
    elif face == "monospace":
        html = html.replace(PLAIN_FACES, "monospace")
    pages, (width, height_) = printed(html, tmp_path)
    assert len(pages) == 1
    # ISO 216: A4 is 210 mm by 297 mm.
    assert (width, height_) == (pytest.approx(210, abs=0.5), pytest.approx(297, abs=0.5))
    if face != "monospace":
        said = " ".join(pages[0].split())
        for section in page.sections:
            for entry in section.entries:
                assert entry.about in said
        assert LAST in said


@pytest.mark.long
def test_a_page_that_is_too_long_would_be_noticed(need, tmp_path):
    need("chromium")
    html = re.sub(r"@media print .*", "", locker_html("van", fit("van", card(10), LAST)))
    pages, _ = printed(html.replace("<footer>", "<p>more</p>" * 80 + "<footer>"), tmp_path)
    assert len(pages) > 1
