"""Trends as a part of a page: whole HTML, every text escaped, every chart named and beside its table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from diagnose.cases.counting import OfVehicle
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import open_store
from diagnose.drawing.review_page import review_page
from diagnose.drawing.trends_section import trends_section
from diagnose.knowledge.collection import Library
from diagnose.reviewing import trends_statements as says
from diagnose.reviewing.trends import trends_of
from diagnose.reviewing.trends_told import Asked, Trends
from tests.reviewing.fleet import past
from tests.reviewing.made_up_past import fill

NOW = datetime(2026, 11, 28, tzinfo=UTC)
TREES = {id: Library().tree(id) for id in ("heater-no-fire", "leisure-battery-weak", "water-pump")}
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trends]:
    with open_store(str(tmp_path_factory.mktemp("fleet") / "cases.sqlite")) as store:
        fill(store, past())
        yield trends_of(store, Asked(Wanted(), NOW), TREES)


def drawings(page):
    """Each drawing as a tree of elements, as a parser of XML reads it."""
    return [
        ElementTree.fromstring(text.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1))
        for text in re.findall(r"<svg .*?</svg>", page, re.DOTALL)
    ]


VOID = ("rect", "path", "meta")


class Outline(HTMLParser):
    """Follows which elements are open, and gathers the text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def page_of(trends):
    return review_page([trends_section(trends)], date(2026, 11, 28))


def read(trends):
    outline = Outline()
    outline.feed(page_of(trends))
    outline.close()
    assert outline.open == []
    return outline


def test_the_page_is_whole_and_says_what_the_screen_says(found):
    outline = read(found)
    for sentence in (*says.returns(found), *says.courses(found.years, "years"), says.MANY):
        assert sentence in outline.text
    assert "script" not in outline.seen


def test_every_drawing_is_named_and_described(found):
    drawn = drawings(page_of(found))
    assert len(drawn) >= 4
    ids = [each.get("id") for drawing in drawn for each in drawing.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    for drawing in drawn:
        assert drawing.get("role") == "img"
        title, description = drawing.find(f"{SVG}title"), drawing.find(f"{SVG}desc")
        assert drawing.get("aria-labelledby") == title.get("id")
        assert drawing.get("aria-describedby") == description.get("id")
        assert title.text.strip()
        assert description.text.strip()


def test_bars_lie_within_the_drawing_and_are_as_long_as_what_they_tell(found):
    drawing = next(each for each in drawings(page_of(found)) if "Month" in each[0].text)
    width, height = (float(part) for part in drawing.get("viewBox").split()[2:])
    bars = drawing.findall(f"{SVG}rect")
    assert len(bars) == 12
    lengths = [float(bar.get("width")) for bar in bars]
    cases = [each.value for each in found.months.all]
    for length, number in zip(lengths, cases, strict=True):
        assert length / lengths[0] == pytest.approx(number / cases[0], rel=0.01)
    for bar, length in zip(bars, lengths, strict=True):
        assert float(bar.get("x")) + length <= width
        assert float(bar.get("y")) + float(bar.get("height")) <= height


def test_each_plot_has_a_table_with_as_many_rows(found):
    parts = [part for part in trends_section(found).parts if part.plots]
    assert len(parts) >= 4
    for part in parts:
        for plot, table in zip(part.plots, part.tables, strict=True):
            assert len(table.rows) == plot.svg.count("<rect ")
            assert all(len(row) == len(table.header) for row in table.rows)


def test_labels_and_words_are_escaped(found):
    bad = OfVehicle("<script>alert(1)</script>", 30, "a&b", "c")
    assert found.vehicles is not None
    vehicles = replace(found.vehicles, marked=((bad, *found.vehicles.marked[0][1:]),))
    again = ((bad, '"><img src=x>'),)
    course = replace(found.years.causes[0], says="<b>bold</b> & more")
    years = replace(found.years, causes=(course,))
    outline = read(replace(found, vehicles=vehicles, again=again, years=years))
    assert {"script", "img", "b"}.isdisjoint(outline.seen)
    assert "<script>alert(1)</script>: 30 cases" in outline.text
    assert "<b>bold</b> & more" in outline.text


def test_of_nothing_there_is_one_sentence():
    section = trends_section(trends_of(None, Asked(Wanted(), NOW), {}))
    assert section.sentences == (
        "No confirmed case fits. Only confirmed cases are counted: diagnose cases confirm",
    )
    assert section.parts == ()
