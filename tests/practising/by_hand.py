"""A small tree with a danger question, a reading, places, tries and gas, and exercises on it."""

from __future__ import annotations

from functools import lru_cache

from diagnose.practising.exercise import Exercise
from diagnose.practising.practice import Practice
from diagnose.reasoning.compiling import compile_route
from tests.reasoning.by_hand import cause, check, do, model_of

REFER = {"refer": "gas-engineer"}
SMELL = {"smell-of-gas": {}}


@lru_cache(maxsize=4)
def stove(role="owner"):
    """A stove that stays cold: three causes here, one under gas for the engineer."""
    return model_of(
        {
            "any_of": {
                "bottle-empty": cause(30, do(minutes=10, price=20, at="gas-locker", cures=0.9), hazard="gas"),
                "valve-shut": cause(25, do(minutes=4, at="gas-locker"), hazard="gas"),
                "pipe-blocked": cause(20, REFER, hazard="gas"),
                "fuse-blown": cause(20, do(minutes=6, at="fuse-panel")),
            }
        },
        {
            "flame": check(
                ask="How does the other ring burn?",
                minutes=2,
                answers={"steady": "Steady", "weak": "Weak", "none": "Not at all"},
                expect={
                    "bottle-empty": {"none": 0.8},
                    "valve-shut": {"none": 0.9},
                    "fuse-blown": {"steady": 0.95},
                },
            ),
            "volts": {
                "ask": "What does the panel show?",
                "hands": "look",
                "by": "owner",
                "minutes": 3,
                "at": "fuse-panel",
                "not_sure": 0.1,
                "reading": {"unit": "V", "range": [0, 16], "uncertainty": 0.05},
                "bands": {"dead": {"below": 6}, "low": {"from": 6, "below": 11.9}, "good": {"from": 11.9}},
                "expect": {"fuse-blown": {"dead": 0.9}, "otherwise": {"good": 0.85}},
            },
            "start-it": check(ask="Does it start?", minutes=2, starts=True),
        },
        role=role,
        ask_first=["smell-of-gas", "co-alarm"],
        tries=1,
    )


@lru_cache(maxsize=4)
def route(role="owner"):
    """Its route, compiled once."""
    return compile_route(stove(role))


def practice(fault="valve-shut", seed=1):
    """An exercise on the stove that has not begun."""
    model = stove()
    return Practice(Exercise(model, seed, model.index[fault]), route())


def quiet(fault="valve-shut", first=0):
    """One whose danger questions find nothing."""
    for seed in range(first, first + 200):
        each = practice(fault, seed)
        dangers = [each.vehicle.finding(id).answer for id in ("smell-of-gas", "co-alarm")]
        if dangers == ["no", "quiet"]:
            return each
    raise AssertionError("dangers are rare")


def smelly():
    """One that smells of gas."""
    for seed in range(400):
        each = practice("pipe-blocked", seed)
        if each.vehicle.finding("smell-of-gas").answer == "yes":
            return each
    raise AssertionError("some smell")


def choose(each, *ids):
    """Makes these choices and gives the last turn."""
    return [each.choose(each.by_id(id)) for id in ids][-1]
