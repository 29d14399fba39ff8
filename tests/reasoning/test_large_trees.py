"""Trees far too large for a plan by whole tables: the next step stays among the best of what is left."""

from __future__ import annotations

import pytest

from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import TreeTooLarge
from diagnose.reasoning.planning import next_step
from diagnose.reasoning.proof import prove
from diagnose.terms import NOT_SURE, Finding, Situation
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.exhaustive import Exhaustive, Here
from tests.reasoning.plain_bayes import belief, plainly

ANSWERS = {"one": "1", "two": "2", "three": "3", "four": "4"}


def large(checks, causes=5):
    tree = faults(**{f"cause_{n}": cause(10 + n, do(minutes=20 + n, cures=0.8)) for n in range(causes)})
    looks = {
        f"look-{n}": check(
            answers=ANSWERS,
            minutes=1 + n % 3,
            expect={f"cause-{n % causes}": {"one": 0.9}, "otherwise": {"two": 0.7}},
        )
        for n in range(checks)
    }
    return model_of(tree, looks)


@pytest.mark.parametrize("checks", [8, 25])
def test_late_in_a_walk_the_step_is_the_best_of_what_is_left(checks):
    """With 25 checks the answers of a walk are more than one number of 64 bits can tell apart."""
    model = large(checks)
    plain = plainly(model.tree)
    planner = Exhaustive(plain)
    asked = {f"look-{n}": Finding(f"look-{n}", NOT_SURE if n % 4 else "two") for n in range(checks - 2)}
    for last in ("one", "three", "four"):
        situation = Situation(findings={**asked, "look-0": Finding("look-0", last)})
        here = Here(tuple(belief(plain, situation)), frozenset(situation.findings))
        step = next_step(model, situation)
        assert step in allowed_steps(model, situation)
        # Look-ahead may take over where tables will not do; it was never more than a twentieth dearer.
        assert planner.value_of((step.kind, step.of), here) <= 1.05 * planner.value(here)


def test_a_large_trees_route_is_compiled_and_proved():
    model = large(25, causes=3)
    assert len(prove(route_graph(compile_route(model), model), model)) == 7


def test_more_steps_than_a_plan_can_hold_are_said_to_be_too_many():
    with pytest.raises(TreeTooLarge, match="more than 60 checks and remedies"):
        large(58)
