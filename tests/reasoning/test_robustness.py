"""The cost of a route for each cause, and what a route loses where the shares of its file are wrong."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import cost_by_cause, drawn_truths, lost, with_shares
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.robust_figures import DOCUMENT, ROW, measured, spread
from tests.trees.shipped import ROLES, TREES, route_of
from tests.trees.shipped import model_of as shipped_model


@pytest.mark.parametrize("seed", range(40))
def test_costs_by_cause_average_to_the_routes_own_figure(seed):
    for role in ROLES:
        model = build_model(made_up(seed), role, other_trees=OTHER_TREES)
        route = compile_route(model)
        found = cost_by_cause(route, model)
        assert (found >= 0).all()
        assert model.prior @ found == pytest.approx(figures(route, model).expected.cost, abs=1e-9)


@pytest.mark.parametrize("id", TREES)
def test_costs_by_cause_of_a_shipped_route_average_to_its_own_figure(id):
    model, route = shipped_model(id), route_of(id)
    cost = figures(route, model).expected.cost
    assert model.prior @ cost_by_cause(route, model) == pytest.approx(cost, abs=1e-9)


def test_the_cost_of_a_cause_is_what_walks_with_that_cause_cost_on_average():
    """Checked by walking: no formula, only draws along the edges."""
    model, route = shipped_model("hook-up-trips"), route_of("hook-up-trips")
    rng = np.random.default_rng(8)
    found = cost_by_cause(route, model)
    for cause in (0, 4):
        spent = [walked(model, route, cause, rng) for _ in range(1500)]
        error = np.std(spent) / len(spent) ** 0.5
        assert np.mean(spent) == pytest.approx(found[cause], abs=4 * error + 1e-9)


def walked(model, route, cause, rng):
    """What one walk costs if that is the cause."""
    node, been, spent = route.nodes[route.start], 0, 0.0
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
        new = step.places & ~been
        spent += step.cost + sum(each for bit, each in enumerate(model.access) if new >> bit & 1)
        been |= step.places
        node = route.nodes[node.edges[answer].to]
    if node.kind == "cured":
        return spent
    tree = model.tree
    own, refer = tree.referrals[node.of], tree.referrals[tree.refer_to]

    def cost(each):
        return each.minutes + 0.05 * each.wait + each.price / 0.5

    remedy = model.hypotheses[cause]
    serves = own is refer or (remedy.ending == "refer" and remedy.target == node.of)
    return spent + cost(own) + (0 if serves else cost(refer))


def test_truths_are_seeded_and_lie_around_the_files_shares():
    model = shipped_model("water-pump")
    truths = drawn_truths(model, 4000)
    assert (truths == drawn_truths(model, 4000)).all()
    assert truths.sum(axis=1) == pytest.approx(np.ones(4000), abs=1e-9)
    # Four standard errors; the standard deviation of one share is that of a Beta distribution.
    total = model.alpha.sum()
    deviation = np.sqrt(model.prior * (1 - model.prior) / (total + 1))
    assert (np.abs(truths.mean(axis=0) - model.prior) < 4 * deviation / 4000**0.5).all()
    wider = drawn_truths(model, 4000, strength=0.5).std(axis=0)
    assert wider == pytest.approx(np.sqrt(model.prior * (1 - model.prior) / (total / 2 + 1)), rel=0.15)


@pytest.mark.parametrize("seed", range(12))
def test_an_exactly_planned_route_never_beats_the_route_planned_for_the_truth(seed):
    model = build_model(made_up(seed), other_trees=OTHER_TREES)
    route = compile_route(model)
    for truth in drawn_truths(model, 3):
        told = with_shares(model, truth)
        best = truth @ cost_by_cause(compile_route(told), told)
        # A branch under 1e-4 asks nothing more, which may cost a little either way.
        assert truth @ cost_by_cause(route, model) >= best - 0.05


def test_nothing_is_lost_where_the_file_is_right():
    model, route = shipped_model("hook-up-trips"), route_of("hook-up-trips")
    found = lost(model, route, model.prior[None, :], compile_route)
    assert (found.mean, found.worst) == (0.0, 0.0)
    assert found.low == pytest.approx(found.expected, abs=1e-9)


def written():
    """The rows of the document: (tree, strength) -> its figures."""
    text = Path(DOCUMENT).read_text(encoding="utf-8")
    return {
        (found["tree"], found["strength"]): [float(each) for each in re.split(r"\s*\|\s*", found["figures"])]
        for found in ROW.finditer(text)
    }


def test_every_shipped_tree_stands_in_the_document():
    assert {tree for tree, _ in written()} == set(TREES)


@pytest.mark.parametrize("strength", ["whole", "half"])
@pytest.mark.parametrize("id", TREES)
def test_the_document_tells_how_far_costs_spread(id, strength):
    told = written()[id, strength]
    assert told[:3] == pytest.approx(spread(id, strength), rel=0.02)


@pytest.mark.long
@pytest.mark.parametrize(("id", "strength"), list(zip(TREES, ["whole", "half"] * 3, strict=True)))
def test_the_document_tells_the_minutes_that_are_lost(id, strength):
    """Each tree at one of the two strengths, in turns; `robust_figures` measures both."""
    found = measured(id, strength)
    mean, worst = written()[id, strength][3:]
    assert mean == pytest.approx(found.mean, abs=0.2)
    assert worst == pytest.approx(found.worst, abs=1.0)
