"""One-step look-ahead against a plain recursion in which a check is followed by the best ending."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.lookahead import check_values, closing_values
from diagnose.reasoning.states import joined, state_of
from diagnose.terms import Finding, Situation
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.exhaustive import Closing, Here
from tests.reasoning.plain_bayes import plainly

PLACES = {"cab": {"says": "Cab", "access": 3}}
CHECKS = {
    "look": check(at="cab", not_sure=0.2, expect={"a": {"one": 0.9}, "b": {"one": 0.2}}),
    # No listed cause gives the third answer.
    "hear": check(
        not_sure=0,
        answers={"one": "1", "two": "2", "three": "3"},
        expect={"a": {"one": 0.7, "two": 0.3}, "otherwise": {"one": 0.4, "two": 0.6}},
    ),
    "smell": check(
        not_sure=0.3, stop_on="two", refer="electrician", expect={"b": {"two": 0.8}, "c": {"two": 0.1}}
    ),
}


def small():
    causes = {
        "a": cause(30, do(minutes=4, cures=0.9)),
        "b": cause(20, do(minutes=15, cures=0.75, at="cab")),
        "c": cause(40, {"refer": "electrician"}),
    }
    return model_of(faults(**causes), CHECKS, places=PLACES)


@pytest.mark.parametrize("known", [(), ("look",), ("hear",), ("look", "smell")])
def test_the_value_of_each_check_is_that_of_the_plain_recursion(known):
    """One that was asked is worth nothing more, and those behind it are looked at all the same."""
    model = small()
    state = state_of(model, Situation({id: Finding(id, "one") for id in known}))
    been = frozenset({"cab"} if "look" in known else ())
    here = Here(tuple(state.weight[0]), asked=frozenset(known), been=been)
    plain = Closing(plainly(model.tree))
    values = check_values(model, state, allowed(model, state))[0]
    for id, value in zip(CHECKS, values, strict=True):
        expected = np.inf if id in known else plain.value_of(("check", id), here)
        assert value == pytest.approx(expected, rel=1e-9)


def test_a_batch_is_worth_what_its_states_are_and_nothing_where_nobody_comes():
    model = small()
    first, second = (state_of(model, Situation(f)) for f in ({}, {"look": Finding("look", "two")}))
    batch = joined([first, second, first])
    batch.weight[1] *= 0.25
    batch.weight[2] = 0.0
    one, other = (closing_values(model, each)[0] for each in (first, second))
    assert closing_values(model, batch) == pytest.approx([one, other / 4, 0.0])
    assert one == pytest.approx(Closing(plainly(model.tree)).value(Here(tuple(first.weight[0]))))
    values = check_values(model, batch, allowed(model, batch))
    assert values[0] == pytest.approx(check_values(model, first, allowed(model, first))[0])
    assert values[1] == pytest.approx(check_values(model, second, allowed(model, second))[0] / 4)


def test_where_the_stop_is_asked_first_not_being_sure_stops_too():
    checks = {
        "look": check(),
        "smell": check(not_sure=0.3, stop_on="two", refer="electrician", expect={"b": {"two": 0.8}}),
    }
    model = model_of(faults(a=cause(30), b=cause(20)), checks, ask_first=["smell"])
    state = state_of(model, Situation())
    expected = Closing(plainly(model.tree)).value_of(("check", "smell"), Here(tuple(state.weight[0])))
    values = check_values(model, state, allowed(model, state))[0]
    assert values == pytest.approx([expected, np.inf], rel=1e-9)
