"""The page of trends at any width, with labels that somebody typed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from diagnose.cases.counting import OfVehicle
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.reviewing.trends import trends_of
from diagnose.reviewing.trends_told import Asked, Trends
from diagnose.terminal.trends_page import trends_page
from diagnose.terminal.wrapping import display_width
from tests.reviewing.fleet import past
from tests.reviewing.made_up_past import fill

NOW = datetime(2026, 11, 28, tzinfo=UTC)
TREES = {id: Library().tree(id) for id in ("heater-no-fire", "leisure-battery-weak", "water-pump")}
TITLES = (
    "WHAT COMES BACK WITHIN A YEAR",
    "VEHICLES WITH MORE THAN THEIR SHARE",
    "THE SAME CAUSE AGAIN AND AGAIN",
    "OVER THE YEARS",
    "MONTH OF THE YEAR",
    "BY MONTHS LAID UP",
    "WHAT WOULD HAVE SAVED MOST",
)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trends]:
    with open_store(str(tmp_path_factory.mktemp("fleet") / "cases.sqlite")) as store:
        fill(store, past())
        yield trends_of(store, Asked(Wanted(), NOW), TREES)


@pytest.mark.parametrize("width", [20, 40, 80, 200])
def test_no_line_is_wider_than_the_screen(found, width):
    lines = trends_page(found, width).splitlines()
    assert max(map(display_width, lines)) <= min(max(width, 20), 88)
    assert [line for line in lines if line != line.rstrip()] == []


@pytest.mark.parametrize("width", [40, 80])
def test_every_heading_has_something_to_say(found, width):
    lines = trends_page(found, width).splitlines()
    places = [lines.index(title) for title in TITLES]
    assert places == sorted(places)
    assert all(lines[place + 1].strip() for place in places)


def test_numbers_stand_under_their_heads_and_the_text_beside_them(found):
    lines = trends_page(found, 80).splitlines()
    head = lines.index("BACK  OF  IN 100  CAUSE")
    first = found.returns[0]
    shown = f"{100 * first.share.low:.0f}-{100 * first.share.high:.0f}"
    assert lines[head + 1].startswith(f"{first.counts.came_back:4}  {first.counts.watched:2}  {shown:>6}  ")


def test_on_a_narrow_screen_a_long_row_of_numbers_has_its_text_below(found):
    lines = trends_page(found, 40).splitlines()
    text = next(place for place, line in enumerate(lines) if line.startswith("    Fit the flue cover"))
    assert lines[text - 1].split()[-1] == str(found.prevention[0].cases)


def test_the_rest_of_a_long_table_is_told(found):
    page = trends_page(found, 80)
    assert f"{len(found.again) - 8} more with --json" in page


def test_a_label_cannot_steer_the_terminal(found):
    bad = OfVehicle("van\x1b[2J\u202e7\nrow", 30)
    assert found.vehicles is not None
    line = (bad, *found.vehicles.marked[0][1:])
    again = (replace(bad, symptom="heater-no-fire", cause="flue-nest"), "A \x07nest")
    page = trends_page(replace(found, vehicles=replace(found.vehicles, marked=(line,)), again=(again,)), 80)
    assert "van\N{REPLACEMENT CHARACTER}[2J7 row: 30 cases" in page
    assert [letter for letter in page if letter != "\n" and not letter.isprintable()] == []


def test_of_one_vehicle_it_is_told_what_came_again_and_no_share(found):
    page = trends_page(replace(found, vehicles=None), 80)
    assert "WHAT COMES BACK" not in page
    assert "MORE THAN THEIR SHARE" not in page
    assert "THE SAME CAUSE AGAIN AND AGAIN" in page
    never = trends_page(replace(found, vehicles=None, again=()), 80)
    assert "THE SAME CAUSE AGAIN AND AGAIN\nNo vehicle had one cause on two days.\n" in never


def test_of_nothing_there_is_one_sentence():
    page = trends_page(trends_of(None, Asked(Wanted(), NOW), {}), 80)
    assert page == "No confirmed case fits. Only confirmed cases are counted: diagnose cases confirm"
