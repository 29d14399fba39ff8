"""Steps as numbers, and the two quick rules of choosing one: the best ending, and looking one step ahead."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.decisions import by_closing, by_look_ahead, step_of
from diagnose.reasoning.states import joined, state_of
from diagnose.terms import Finding, Situation, Step
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.exhaustive import Closing, Here
from tests.reasoning.made_up_trees import OTHER_TREES
from tests.reasoning.plain_bayes import plainly

CHECKS = {
    "look": check(not_sure=0, expect={"a": {"one": 0.95}, "b": {"one": 0.1}, "c": {"one": 0.5}}),
    "hear": check(not_sure=0, minutes=2, expect={"a": {"one": 0.1}, "b": {"one": 0.2}, "c": {"one": 0.9}}),
}


def small(shares=(30, 20, 10), minutes=(10, 12), checks=CHECKS, other=None, **more):
    a, b, c = shares
    causes = {
        "a": cause(a, do(minutes=minutes[0], cures=0.9)),
        "b": cause(b, do(minutes=minutes[1], cures=0.9)),
        "c": cause(c, other or {"see": OTHER_TREES[0]}),
        "d": cause(5, {"refer": "electrician"}),
    }
    return model_of(faults(**causes), checks, **more)


def first(model, codes):
    return [step_of(model, int(code)) for code in codes]


def test_a_number_stands_for_a_check_then_a_remedy_then_an_ending():
    model = small()
    assert first(model, range(7)) == [
        Step("check", "look"),
        Step("check", "hear"),
        Step("remedy", "a"),
        Step("remedy", "b"),
        Step("referral", "workshop"),
        Step("referral", "electrician"),
        Step("handover", OTHER_TREES[0]),
    ]


@pytest.mark.parametrize(
    ("shares", "minutes", "hand_over", "step"),
    [
        ((60, 5, 1), (5, 400), False, Step("remedy", "a")),
        ((5, 60, 1), (400, 5), False, Step("remedy", "b")),
        ((1, 1, 90), (400, 400), True, Step("handover", OTHER_TREES[0])),
        ((1, 1, 90), (400, 400), False, Step("referral", "workshop")),
    ],
)
def test_a_closing_begins_with_what_is_best_and_hands_over_where_it_may(shares, minutes, hand_over, step):
    model = small(shares, minutes)
    codes = by_closing(model, state_of(model, Situation()), hand_over)
    assert first(model, codes) == [step]
    assert codes.dtype == np.int64


def test_unless_it_is_said_a_closing_hands_nothing_over():
    model = small((1, 1, 90), (400, 400))
    assert first(model, by_closing(model, state_of(model, Situation()))) == [Step("referral", "workshop")]


def test_what_is_asked_first_goes_before_a_closing_state_by_state():
    checks = {"look": check(), "last": check(stop_on="two", refer="electrician"), "hear": check()}
    model = small((60, 5, 1), (5, 400), checks, ask_first=["last"])
    asked = state_of(model, Situation({"last": Finding("last", "one")}))
    batch = joined([asked, state_of(model, Situation()), asked])
    last = Step("check", "last")
    assert first(model, by_closing(model, batch)) == [Step("remedy", "a"), last, Step("remedy", "a")]
    assert first(model, by_look_ahead(model, batch))[1] == last
    both = {"hear": check(stop_on="two", refer="electrician"), "last": check(stop_on="two", refer="workshop")}
    model = small(checks=both, ask_first=["last", "hear"])
    batch = joined([state_of(model, Situation(f)) for f in ({}, {"last": Finding("last", "one")})])
    assert first(model, by_closing(model, batch)) == [last, Step("check", "hear")]


@pytest.mark.parametrize("minutes", [(10, 12), (60, 50), (2, 3), (200, 90)])
@pytest.mark.parametrize("shares", [(30, 20, 1), (5, 60, 1), (40, 40, 1)])
def test_looking_ahead_takes_the_check_or_the_ending_that_a_plain_recursion_finds_cheapest(shares, minutes):
    """Hand-overs are left out there, so there is no other tree here to hand over to."""
    model = small(shares, minutes, other={"refer": "electrician"})
    plain = Closing(plainly(model.tree))
    situations = [{}, {"look": Finding("look", "one")}, {"hear": Finding("hear", "two")}]
    states = [state_of(model, Situation(each)) for each in situations]
    for known, state, code in zip(situations, states, by_look_ahead(model, joined(states)), strict=True):
        here = Here(tuple(state.weight[0]), asked=frozenset(known))
        values = {Step("check", id): plain.value_of(("check", id), here) for id in CHECKS if id not in known}
        step, least = min(values.items(), key=lambda each: each[1])
        if least >= plain.value(here):
            step = step_of(model, int(by_closing(model, state)[0]))
        assert step_of(model, int(code)) == step


def test_looking_ahead_at_nothing_left_to_ask_is_the_closing():
    model = small((60, 5, 1), (5, 400))
    state = state_of(model, Situation({id: Finding(id, "one") for id in CHECKS}))
    assert by_look_ahead(model, state).tolist() == by_closing(model, state).tolist()


def test_of_two_checks_that_are_alike_the_earlier_is_asked():
    alike = {"one": CHECKS["look"], "other": CHECKS["look"]}
    model = small((40, 40, 1), (60, 60), alike)
    assert first(model, by_look_ahead(model, state_of(model, Situation()))) == [Step("check", "one")]
