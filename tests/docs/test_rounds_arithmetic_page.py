"""The page about the arithmetic of a round: its worked figures are those of the program."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.rounds import stakes, worth
from diagnose.rounds.shortest import short
from tests.rounds.made import clocked, place, task
from tests.rounds.order_figures import ROWS, row
from tests.rounds.test_shortest import AFTER, SAVED, TASKS, YARD
from tests.rounds.test_worth import FILL, PANEL, PUMP, worth_of

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "rounds-arithmetic.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "order", ["air, tyres, connectors", "tyres, air, connectors", "air, connectors, tyres"]
)
def test_the_three_orders_take_what_the_page_says(order):
    yard = {"outside": place("outside", 2), "cab": place("cab", 1)}
    tasks = {
        "air": task("air", "cab", 5, wait=30),
        "connectors": task("connectors", "cab", 10),
        "tyres": task("tyres", "outside", 20),
    }
    minutes = clocked(order.split(", "), tasks, {"connectors": {"air"}}, yard)
    (line,) = [line for line in PAGE.splitlines() if line.startswith(f"| {order} |")]
    assert line.endswith(f" = {minutes:g} |")


@pytest.mark.parametrize("minutes", [10, 15, 20, 25, 30])
def test_so_many_minutes_hold_what_the_page_says(minutes):
    found = short(TASKS, AFTER, YARD, minutes, SAVED)
    (line,) = [line for line in PAGE.splitlines() if line.startswith(f"| {minutes} | tyres")]
    _, _, done, saved, _ = line.split("|")
    assert sorted(done.strip().split(", ")) == sorted(found.plan.order)
    assert float(saved) == pytest.approx(found.saved - SAVED["tyres"])


@pytest.mark.parametrize(
    ("known", "cases", "years"),
    [("nothing but the tree", 0.0, 0.0), ("3 cases in 30 vehicle-years", 3.0, 30.0)],
)
def test_a_task_is_worth_what_the_page_says(known, cases, years):
    found = worth_of("fill", [FILL], [replace(PUMP, cases=cases)], vehicle_years=years)
    (line,) = [line for line in PAGE.splitlines() if line.startswith(f"| {known} |")]
    shown = f"{found.saved:.2f} | {found.per_minute:.3f} | {found.chance * 100:.1f} %"
    assert line.endswith(f" | {shown} |")


def test_the_look_before_it_is_worth_what_the_page_says():
    panel, fill = worth_of("panel", [PANEL, FILL]), worth_of("fill", [PANEL, FILL])
    assert f"= {panel.saved:.2f} minutes, {panel.per_minute:.4f} a minute, and {fill.saved:.2f} of" in PAGE


def test_what_is_judgement_stands_on_the_page_as_it_is_in_the_program():
    assert (worth.SHAPE, worth.PRIOR_YEARS, stakes.AWAY) == (0.5, 10, 240)
    assert (worth.STANDING, worth.UNKNOWN, worth.TOLD_ELSEWHERE) == (
        {"short": 0.5, "season": 1.0, "long": 2.0},
        0.5,
        0.1,
    )


@pytest.mark.long
@pytest.mark.parametrize(("number", "waits"), [each for each in ROWS if each[0] == 20 or each[1] == 0.4])
def test_the_figures_of_long_rounds_are_those_measured(number, waits):
    figures = PAGE.split("<!-- figures -->\n")[1].split("<!-- end of figures -->")[0]
    assert row(number, waits) in figures.splitlines()
