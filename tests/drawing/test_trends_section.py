"""Trends as a part of a page: whole HTML, every text escaped, every chart named and beside its table."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from diagnose.cases.counting import OfVehicle
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import open_store
from diagnose.drawing.trends_section import blocks, trends_section
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


class Outline(HTMLParser):
    """Follows which elements are open, and gathers the text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        if tag not in ("rect", "path"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def read(page):
    outline = Outline()
    outline.feed(str(page))
    outline.close()
    assert outline.open == []
    return outline


def test_the_part_is_whole_and_says_what_the_screen_says(found):
    outline = read(trends_section(found))
    for sentence in (*says.returns(found), *says.courses(found.years, "years"), says.MANY):
        assert sentence in outline.text
    assert outline.seen[0] == "section"
    assert "script" not in outline.seen


def test_every_drawing_is_named_and_described(found):
    page = trends_section(found)
    drawn = drawings(page)
    assert len(drawn) >= 4
    ids = re.findall(r'id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for drawing in drawn:
        assert drawing.get("role") == "img"
        title, description = drawing.find(f"{SVG}title"), drawing.find(f"{SVG}desc")
        assert drawing.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
        assert title.text.strip()
        assert description.text.strip()


def test_bars_lie_within_the_drawing_and_are_as_long_as_what_they_tell(found):
    drawing = next(each for each in drawings(trends_section(found)) if "month" in each[0].text)
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


def test_each_chart_has_a_table_with_as_many_rows(found):
    for block in blocks(found):
        for chart in block.charts:
            assert len(block.rows) == len(chart.bars)
        assert all(len(row) == len(block.header) for row in block.rows)


def test_labels_and_words_are_escaped(found):
    bad = OfVehicle("<script>alert(1)</script>", 30, "a&b", "c")
    assert found.vehicles is not None
    vehicles = replace(
        found.vehicles, marked=((bad, *found.vehicles.marked[0][1:]),), again=((bad, '"><img src=x>'),)
    )
    page = trends_section(replace(found, vehicles=vehicles))
    outline = read(page)
    assert "script" not in outline.seen
    assert "img" not in outline.seen
    assert "<script>alert(1)</script>: 30 cases" in outline.text


def test_of_nothing_there_is_one_sentence():
    page = trends_section(trends_of(None, Asked(Wanted(), NOW), {}))
    outline = read(page)
    assert outline.text.split("\n", 2)[2].strip() == says.basis(trends_of(None, Asked(Wanted(), NOW), {}))[0]
    assert "svg" not in outline.seen
