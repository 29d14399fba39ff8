"""Along the route while the walk is on it, anew where it is not."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from diagnose.terms import Finding, Situation, Step
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.stepping import on_route
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions


@dataclass
class E:
    to: int


@dataclass
class N:
    kind: str
    of: str
    edges: dict[str, E] = field(default_factory=dict)


@dataclass
class R:
    nodes: tuple[N, ...]
    start: int = 0


ROUTE = R(
    (
        N("check", "smell-of-gas", {"no": E(1), "yes": E(7), "not-sure": E(7)}),
        N("check", "co-alarm", {"quiet": E(2), "none-fitted": E(2)}),
        N("check", "volts", {"low": E(3), "good": E(4), "not-sure": E(4)}),
        N("remedy", "fuse", {"cured": E(6), "not-cured": E(5), "could-not": E(5)}),
        N("check", "hob", {"steady": E(5), "none": E(3), "not-sure": E(5)}),
        N("referral", "gas-engineer"),
        N("cured", "cured"),
        N("stop", "gas-escape"),
    )
)


def found(tried=(), **answers):
    findings = {id.replace("_", "-"): Finding(id.replace("_", "-"), answer) for id, answer in answers.items()}
    return Situation(findings, dict(tried))


FIRST = {"smell_of_gas": "no", "co_alarm": "quiet"}


@pytest.mark.parametrize(
    ("situation", "step"),
    [
        (found(), Step("check", "smell-of-gas")),
        (found(**FIRST), Step("check", "volts")),
        (found(**FIRST, volts="low"), Step("remedy", "fuse")),
        (found([("fuse", "not-cured")], **FIRST, volts="low"), Step("referral", "gas-engineer")),
        (found(**FIRST, volts="not-sure"), Step("check", "hob")),
    ],
)
def test_the_route_is_followed_by_what_was_found(situation, step):
    assert on_route(ROUTE, situation) == step


@pytest.mark.parametrize(
    "situation",
    [
        found(**FIRST, hob="none"),
        found(**FIRST, volts="low", hob="none"),
        found([("empty", "not-cured")], **FIRST),
        found([("fuse", "could-not")], **FIRST, volts="low"),
        Situation({**found(**FIRST).findings, "volts": Finding("volts", "low", 11.0, 0.1)}),
    ],
)
def test_what_the_route_did_not_ask_or_weighs_otherwise_leads_off_it(situation):
    assert on_route(ROUTE, situation) is None


def test_the_order_of_findings_does_not_matter_to_the_route():
    one = found(co_alarm="quiet", volts="low", smell_of_gas="no")
    assert on_route(ROUTE, one) == Step("remedy", "fuse")


def walked(route=ROUTE):
    tree = heater()
    planner = Order(tree)
    walk = Walk.begin(tree, planner, MemoryJournal(), HandClock(), route=route)
    through_the_danger_questions(walk)
    return walk, planner


def test_on_the_route_the_planner_is_not_asked():
    walk, planner = walked()
    assert walk.view().check == "volts"
    assert walk.answer("good").check == "hob"
    assert planner.asked == []


def test_a_reading_leads_off_the_route_and_the_planner_is_asked():
    walk, planner = walked()
    walk.reading(12.4)
    assert len(planner.asked) == 1
    assert walk.view().check == "hob"


def test_back_to_where_the_route_was_left_leads_onto_it_again():
    walk, planner = walked()
    walk.reading(12.4)
    walk.back()
    assert walk.view().check == "volts"
    assert len(planner.asked) == 1


def test_the_route_may_be_made_late():
    made = []

    def make():
        made.append(True)
        return ROUTE

    walk, _ = walked(make)
    walk.answer("good")
    assert made == [True]


def test_a_start_that_was_taken_back_leads_off_the_route():
    route = R(
        (
            N("check", "smell-of-gas", {"no": E(1)}),
            N("check", "co-alarm", {"quiet": E(2)}),
            N("check", "start", {"nothing": E(3), "ticks": E(3)}),
            N("remedy", "fuse", {}),
        )
    )
    walk, planner = walked(route)
    walk.answer("ticks")
    assert (walk.view().remedy, planner.asked) == ("fuse", [])
    walk.back()
    assert planner.asked[-1][1] == 1
