"""How walks end for each cause, and what a check is worth.

From outside: mutual information by scikit-learn; ends against walks drawn along the edges; the worth of a
check against the exact costs of the small worked tree (one step: hum saves 1.6651 minutes at the start with
the next-best order behind it; the whole tree costs 36.2333375 with both checks, by a separate plain
implementation).
"""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.metrics import mutual_info_score

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.coverage import asked_in, ends_by_cause, information, saved_by
from diagnose.reasoning.exact import exact_plan
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.by_hand import cause, check, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.trees.shipped import ROLES, route_of
from tests.trees.shipped import model_of as shipped_model


@pytest.mark.parametrize("seed", range(25))
def test_ends_add_up_and_are_those_of_the_route(seed):
    for role in ROLES:
        model = build_model(made_up(seed), role, other_trees=OTHER_TREES)
        route = compile_route(model)
        ends, whole = ends_by_cause(route, model), figures(route, model)
        total = ends.cured + ends.served + ends.passed_on + ends.stopped
        assert total == pytest.approx(np.ones(len(model.ids)), abs=1e-9)
        assert model.prior @ ends.cured == pytest.approx(whole.cured, abs=1e-9)
        assert model.prior @ ends.stopped == pytest.approx(whole.stopped, abs=1e-9)
        others = whole.referred + whole.handed_over
        assert model.prior @ (ends.served + ends.passed_on) == pytest.approx(others, abs=1e-9)


def test_each_cause_ends_as_often_cured_or_with_whom_it_belongs_as_walks_say():
    """Checked by walking: no formula, only draws along the edges."""
    model, route = shipped_model("hook-up-trips"), route_of("hook-up-trips")
    rng = np.random.default_rng(3)
    found = ends_by_cause(route, model)
    for at in range(0, len(model.ids), 3):
        ended = [_walked(model, route, at, rng) for _ in range(400)]
        margin = 4 * (0.25 / len(ended)) ** 0.5
        cured = sum(node.kind == "cured" for node in ended) / len(ended)
        assert cured == pytest.approx(found.cured[at], abs=margin)
        event = model.tree.events.get(model.ids[at])
        if event is not None and event.remedy.kind == "refer":
            served = sum((node.kind, node.of) == ("referral", event.remedy.text) for node in ended) / len(
                ended
            )
            assert served == pytest.approx(found.served[at], abs=margin)
            assert found.passed_on[at] == pytest.approx(
                1 - found.cured[at] - found.stopped[at] - found.served[at], abs=1e-9
            )


def test_a_check_that_stands_before_others_is_left_out_without_mixing_them_up():
    model = model_of(
        {
            "any_of": {
                "a": cause(40, do(minutes=30)),
                "b": cause(30, do(minutes=30)),
                "c": cause(25, do(minutes=30)),
            }
        },
        {
            "first": check(expect={"a": {"one": 0.9}, "otherwise": {"two": 0.9}}),
            "second": check(expect={"b": {"one": 0.9}, "otherwise": {"two": 0.9}}),
            "third": check(expect={"c": {"one": 0.9}, "otherwise": {"two": 0.9}}),
        },
    )
    root = state_of(model, Situation())
    best = exact_plan(model, root).cost
    for id in ("first", "second", "third"):
        rest = {key: each for key, each in model.tree.checks.items() if key != id}
        without = build_model(_with_checks(model.tree, rest), "owner", other_trees=OTHER_TREES)
        dearer = exact_plan(without, state_of(without, Situation())).cost
        assert saved_by(model, id, best) == pytest.approx(dearer - best, abs=1e-6)
    assert saved_by(model, "first", best) > 0


def test_bits_of_an_answer_that_is_certain():
    """By hand: two causes are told apart for sure, what is not listed says nothing."""
    model = model_of(
        {"any_of": {"a": cause(47.5), "b": cause(47.5)}},
        {"look": check(not_sure=0, expect={"a": {"one": 1}, "b": {"two": 1}})},
    )
    prior = dict(zip(model.ids, model.prior, strict=True))
    half = prior["not-listed"] / 2
    one = prior["a"] + half
    told = -sum(part * np.log2(part) for part in (one, 1 - one)) - prior["not-listed"]
    assert information(model, "look") == pytest.approx(told)


def _walked(model, route, cause, rng):
    """The end of one walk if that is the cause."""
    node = route.nodes[route.start]
    while node.kind in ("check", "remedy"):
        if node.kind == "check":
            step = model.checks[model.check_index[node.of]]
            ids = step.check.answer_ids()
            sure = rng.random() >= step.check.not_sure
            answer = ids[int(rng.choice(len(ids), p=step.rows[cause]))] if sure else "not-sure"
        else:
            step = model.remedies[model.remedy_index[node.of]]
            cured = step.hypothesis == cause and rng.random() < step.cures
            answer = "cured" if cured else "not-cured"
        node = route.nodes[node.edges[answer].to]
    return node


@pytest.mark.parametrize("seed", range(8))
def test_the_worth_of_a_check_is_the_difference_of_two_best_plans(seed):
    """Small trees are planned exactly, with the check and without it."""
    model = build_model(made_up(seed), "owner", other_trees=OTHER_TREES)
    route = compile_route(model)
    expected = float(model.prior @ cost_by_cause(route, model))
    root = state_of(model, Situation())
    best = exact_plan(model, root).cost
    for table in model.checks:
        id = table.check.id
        if table.first:
            with pytest.raises(ValueError, match="always asked first"):
                saved_by(model, id, expected)
            continue
        tree = made_up(seed)
        rest = {key: check for key, check in tree.checks.items() if key != id}
        without = build_model(_with_checks(tree, rest), "owner", other_trees=OTHER_TREES)
        dearer = exact_plan(without, state_of(without, Situation())).cost
        assert saved_by(model, id, expected) == pytest.approx(dearer - best, abs=0.005 * best)


def _with_checks(tree, checks):
    from dataclasses import replace

    return replace(tree, checks=checks)


def test_bits_are_the_mutual_information_of_a_library():
    model = shipped_model("water-pump")
    for id in model.rows:
        # The library counts cases, so it is given so many that rounding does not show.
        joint = np.rint(model.prior[:, None] * model.rows[id] * 1e9)
        nats = mutual_info_score(None, None, contingency=joint)
        answered = 1 - model.tree.checks[id].not_sure
        assert information(model, id) == pytest.approx(answered * nats / np.log(2), abs=1e-7)


def test_how_often_a_check_is_asked_is_read_off_the_route():
    model, route = shipped_model("hook-up-trips"), route_of("hook-up-trips")
    first = model.tree.ask_first[0]
    assert asked_in(route, first) == pytest.approx(1.0)
    assert asked_in(route, "no-such-check") == 0
