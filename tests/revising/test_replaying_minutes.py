"""The minutes that a past case would have taken along another route, by plain recursion."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reviewing.walked_minutes import walked_minutes
from diagnose.revising import replaying_side
from diagnose.revising.replaying_minutes import Known, WalkedAgain
from diagnose.terms import Settings
from diagnose.walking.past import read_past
from tests.reasoning.by_hand import cause, check, content_of, do, faults
from tests.reasoning.made_up_trees import read
from tests.reviewing.made_up_past import Walker


def small():
    """Two places, a stop, a remedy that may fail, a referral for one of three causes."""
    return read(
        content_of(
            faults(
                loose=cause(40, do(minutes=40, cures=0.8, at="locker")),
                worn=cause(35, do(minutes=60)),
                split=cause(20, {"refer": "workshop"}),
            ),
            {
                "look": check(
                    minutes=2,
                    at="locker",
                    not_sure=0.1,
                    expect={"loose": {"one": 0.95}, "otherwise": {"one": 0.05}},
                ),
                "hear": check(minutes=3, expect={"split": {"two": 0.9}, "otherwise": {"one": 0.9}}),
            },
            places={"locker": {"says": "In the locker", "access": 6}},
        )
    )


@pytest.fixture(scope="module")
def walked():
    from diagnose.walking.shelf import route_for

    model = build_model(small(), "technician")
    return route_for(model), model


def known(model, truth, answers=(), tried=()):
    return Known(truth, dict(answers), dict(tried), lambda id: model.rows[id][truth])


def test_where_nothing_is_known_it_is_the_cost_by_cause(walked):
    route, model = walked
    minutes, weighed = WalkedAgain(route, model).minutes([known(model, at) for at in range(len(model.ids))])
    assert minutes == pytest.approx(cost_by_cause(route, model), rel=1e-12)
    assert weighed.all()


def by_recursion(route, model, case, at=0, been=frozenset()):
    """The cost from one node on, as a walk pays it."""
    node, tree = route.nodes[at], model.tree
    if node.kind == "cured":
        return 0.0
    if node.kind == "referral":
        serves = node.of == tree.refer_to or model.hypotheses[case.truth].target == node.of
        return tree.referrals[node.of].minutes + (0 if serves else tree.referrals[tree.refer_to].minutes)
    step = tree.checks[node.of] if node.kind == "check" else tree.events[node.of].remedy
    way = tree.places[step.at].access if step.at and step.at not in been else 0
    been = been | {step.at}
    if node.kind == "check":
        chances = dict(
            zip(step.answer_ids(), (1 - step.not_sure) * model.rows[node.of][case.truth], strict=True)
        )
        chances["not-sure"] = step.not_sure
        if node.of in case.answers:
            chances = {case.answers[node.of]: 1.0}
    else:
        cures = step.cures if model.ids[case.truth] == node.of else 0.0
        chances = {"cured": cures, "not-cured": 1 - cures}
        if node.of in case.tried:
            chances = {case.tried[node.of]: 1.0}
        way += tree.cured_when.minutes
    on = sum(p * by_recursion(route, model, case, node.edges[a].to, been) for a, p in chances.items() if p)
    return step.minutes + way + on


def test_what_is_known_is_followed_and_the_rest_weighed(walked):
    route, model = walked
    cases = [
        known(model, truth, answers, tried)
        for truth in range(len(model.ids))
        for answers in ({}, {"look": "one"}, {"look": "not-sure", "hear": "two"}, {"hear": "one"})
        for tried in ({}, {"loose": "not-cured"}, {"worn": "could-not"})
    ]
    minutes, _ = WalkedAgain(route, model).minutes(cases)
    assert minutes == pytest.approx([by_recursion(route, model, each) for each in cases], rel=1e-12)
    assert len(set(minutes.round(6))) > 12


def test_along_its_own_route_a_walk_costs_what_its_steps_cost(walked):
    route, model = walked
    rng = np.random.default_rng(8)
    tree = model.tree
    walker = Walker(model, rng, route=route)
    side, _ = replaying_side.sides(tree, tree, Settings(), frozenset(), None)
    for day in range(25):
        record, of = walker.walk(datetime(2026, 1, 1, tzinfo=UTC) + timedelta(days=day))
        record = replace(record, confirmed=True, cause=of, role="technician")
        said = side.said(record, (record.state, 1.0))
        (minutes,), (weighed,) = WalkedAgain(route, model).minutes([said.known])
        own = walked_minutes(read_past(tree, record.entries), record, model.index[of], model)
        assert not weighed
        assert minutes == pytest.approx(own)
