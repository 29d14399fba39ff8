"""The rivals choose as they say they do, and the problems that they are measured on are what is asked for."""

from __future__ import annotations

from math import log2

import numpy as np
import pytest

from diagnose.reasoning.compiling import route_by
from diagnose.reasoning.decisions import by_closing, step_of
from diagnose.reasoning.states import state_of
from diagnose.terms import Finding, Situation
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.made_up_large import made_up_of
from tests.reasoning.planner_problems import SMALL_TABLES, large, medium, small
from tests.reasoning.simple_rivals import BitsPerMinute, InFileOrder, InFileOrderIfWorthIt


def lamp(**minutes):
    """Three causes; `dull` tells nothing, `volts` and `glow` tell of one cause each, `glow` more sharply."""
    return model_of(
        faults(
            battery=cause(40, do(minutes=30)),
            fuse=cause(30, do(minutes=8)),
            bulb=cause(25, do(minutes=12)),
        ),
        {
            "dull": check(minutes=0.5, expect={"otherwise": {"one": 0.5}}),
            "volts": check(
                not_sure=0, minutes=4, expect={"battery": {"one": 0.9}, "otherwise": {"two": 0.9}}
            ),
            "glow": check(not_sure=0, minutes=1, expect={"bulb": {"one": 0.85}, "otherwise": {"two": 0.75}}),
        },
    )


def first_step(planner, model, **findings):
    situation = Situation(findings={id: Finding(id, answer) for id, answer in findings.items()})
    return step_of(model, int(planner(model).decide(state_of(model, situation))[0]))


def bits_told(model, id):
    """Expected information by its other formula: sum of joint × log(joint / product of margins)."""
    rows = model.rows[id]
    answers = model.prior @ rows
    return sum(
        share * rows[at, a] * log2(rows[at, a] / answers[a])
        for at, share in enumerate(model.prior)
        for a in range(len(answers))
        if rows[at, a] > 0
    )


def test_bits_per_minute_asks_what_tells_most_for_its_minutes():
    model = lamp()
    told = {table.check.id: bits_told(model, table.check.id) / table.cost for table in model.checks}
    assert told["volts"] > 0.04
    assert told["dull"] == pytest.approx(0, abs=1e-9)
    assert first_step(BitsPerMinute, model).of == max(told, key=told.get)


def test_what_tells_nothing_is_not_asked_for_its_bits_but_is_in_file_order():
    model = lamp()
    assert first_step(InFileOrder, model).of == "dull"
    assert first_step(InFileOrder, model, dull="one").of == "volts"
    assert first_step(InFileOrderIfWorthIt, model).of != "dull"
    assert first_step(BitsPerMinute, model, volts="two", glow="two") == step_of(
        model, closing_after(model, volts="two", glow="two")
    )


def closing_after(model, **findings):
    situation = Situation(findings={id: Finding(id, answer) for id, answer in findings.items()})
    return int(by_closing(model, state_of(model, situation), hand_over=True)[0])


def test_nothing_more_is_asked_once_one_cause_leads():
    model = model_of(
        faults(battery=cause(90, do(minutes=30)), fuse=cause(5, do(minutes=8))),
        {"volts": check(minutes=1, expect={"battery": {"one": 0.9}})},
    )
    assert model.prior.max() > 0.8
    for rival in (BitsPerMinute, InFileOrder):
        assert first_step(rival, model).kind != "check"


@pytest.mark.parametrize("rival", [BitsPerMinute, InFileOrder, InFileOrderIfWorthIt])
def test_rivals_ask_first_what_has_to_be_asked_first(rival):
    problem = next(each for each in small(60) if len(each.tree.ask_first) > 1)
    route = route_by(problem.model, rival(problem.model))
    node, asked = route.nodes[route.start], []
    for _ in problem.tree.ask_first:
        asked.append(node.of)
        node = route.nodes[next(iter(node.edges.values())).to]
    assert tuple(asked) == problem.tree.ask_first


# The problems ----------------------------------------------------------------------------------------------


def own_checks(tree):
    return [id for id in tree.checks if id.startswith("look-")]


def test_problems_have_the_sizes_that_are_asked_for():
    for problem in (*small(30), *medium(2), *large(16)):
        assert len(problem.tree.causes()) == problem.causes
        assert len(own_checks(problem.tree)) == problem.checks
    assert {each.causes for each in small(60)} == set(range(3, 9))
    assert {each.checks for each in small(60)} == set(range(2, 7))
    assert all(each.tables <= SMALL_TABLES for each in small(60))


def test_a_seed_gives_the_same_tree_again():
    first = made_up_of(5, 20, 12)
    made_up_of.cache_clear()
    assert made_up_of(5, 20, 12) is not first
    assert made_up_of(5, 20, 12).digest == first.digest
    assert made_up_of(6, 20, 12).digest != first.digest


def test_between_them_the_problems_hold_all_that_a_plan_can_depend_on():
    trees = [each.tree for each in (*small(60), *large(16))]
    causes = [cause for tree in trees for cause in tree.causes()]
    checks = [tree.checks[id] for tree in trees for id in own_checks(tree)]
    hazards = {hazard for each in causes for hazard in each.hazards}
    assert {"gas", "mains", "high-current"} <= hazards
    assert sum(any(len(each) > 1 for each in tree.cut_sets) for tree in trees) > 20
    assert {each.remedy.kind for each in causes} == {"do", "refer", "see"}
    assert len({each.remedy.text for each in causes if each.remedy.kind == "refer"}) >= 5
    done = [each.remedy for each in causes if each.remedy.kind == "do"]
    for what in ("wait", "price", "at", "restores_mains"):
        assert sum(bool(getattr(each, what)) for each in done) > 5, what
    assert np.mean([each.cures < 1 for each in done]) > 0.5
    assert {each.by for each in done} == {"owner", "technician"}
    for what in ("wait", "at", "starts", "restores_mains", "stop_on", "reading", "not_sure"):
        assert sum(bool(getattr(each, what)) for each in checks) > 3, what
    assert {tree.tries for tree in trees} == {None, 2, 3}
