"""Plans and routes of made-up trees against an exhaustive planner that shares no code with the package.

Source of the rules: decision-theoretic troubleshooting, Heckerman, Breese & Rommelse, Communications of the
ACM, 1995 (from memory), with this project's own rules of cost and safety.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from diagnose.reasoning import bounds, compiling
from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import LookAhead, next_step
from diagnose.reasoning.states import state_of
from diagnose.terms import Settings, Situation
from tests.reasoning.exhaustive import Exhaustive, Here
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.route_by_hand import follow
from tests.reasoning.walking_about import walks

IMPROBABLE = 1e-4
"""Below this a branch asks nothing more."""

FEW = [(seed, role) for seed in range(10) for role in ("owner", "technician")]
MANY = [(seed, role) for seed in range(1000, 1150) for role in ("owner", "technician")]
SEEDS = pytest.mark.parametrize(("seed", "role"), FEW)


@cache
def tried_out(seed, role):
    """The package's model, the plain one, and the exhaustive planner with the least cost from the start."""
    tree = made_up(seed)
    plain = plainly(tree, role)
    planner = Exhaustive(plain, OTHER_TREES)
    return build_model(tree, role, other_trees=OTHER_TREES), plain, planner, planner.value(Here(plain.prior))


def check_exact(seed, role):
    model, _, _, least = tried_out(seed, role)
    assert bounds.affordable(model)
    assert least_minutes(model) == pytest.approx(least, rel=1e-9)


@SEEDS
def test_the_exact_plan_costs_what_trying_everything_finds(seed, role):
    check_exact(seed, role)


@pytest.mark.long
@pytest.mark.parametrize(("seed", "role"), MANY)
def test_the_exact_plan_costs_what_trying_everything_finds_on_many_more(seed, role):
    check_exact(seed, role)


def test_the_made_up_trees_reach_every_kind_of_plan():
    """Trees that never met a rule would prove nothing: each kind of step and ending occurs among them."""
    kinds, referring, several = set(), 0, 0
    for seed, role in FEW:
        model, plain, planner, _ = tried_out(seed, role)
        kinds |= {(node.kind, role) for node in compile_route(model).nodes}
        several += any(len(each.causes) > 1 for each in plain.suspects)
        referring += any(planner.only_referral(here) for here in planner._values)
    wanted = {"check", "remedy", "referral", "stop", "handover", "cured"}
    assert {kind for kind, _ in kinds} == wanted
    assert several > 3
    assert referring > 3


@SEEDS
def test_a_compiled_route_costs_what_following_it_for_every_suspect_gives(seed, role):
    model, plain, _, _ = tried_out(seed, role)
    route = compile_route(model)
    found, told = follow(route, plain), figures(route, model)
    assert told.expected.cost == pytest.approx(found.cost(), rel=1e-9)
    assert told.expected.hands_on == pytest.approx(found.hands_on, rel=1e-9)
    assert told.expected.wait == pytest.approx(found.wait, rel=1e-9, abs=1e-12)
    assert told.expected.price == pytest.approx(found.price, rel=1e-9, abs=1e-12)
    ends = [told.cured, told.referred, told.stopped, told.handed_over]
    kinds = ["cured", "referral", "stop", "handover"]
    assert ends == pytest.approx([found.ends.get(kind, 0.0) for kind in kinds], rel=1e-9, abs=1e-12)
    assert sum(ends) == pytest.approx(1, abs=1e-9)


@SEEDS
def test_a_route_costs_the_least_but_for_what_improbable_branches_add(seed, role):
    """Small trees are planned exactly; only branches under 1e-4 may end dearer than the best."""
    model, plain, planner, least = tried_out(seed, role)
    cost = follow(compile_route(model), plain).cost()
    assert cost >= least * (1 - 1e-9)
    # Each of the cut branches costs at most what referring at once would.
    dearest = 2 * max(planner.cost(each) for each in plain.tree.referrals.values())
    assert cost - least <= IMPROBABLE * dearest * len(compile_route(model).nodes)


@SEEDS
def test_looking_one_step_ahead_is_never_cheaper_than_trying_everything(seed, role, monkeypatch):
    model, plain, _, least = tried_out(seed, role)
    monkeypatch.setattr(compiling, "planners_from", lambda model, root: (LookAhead(model),))
    route = compile_route(model)
    cost = follow(route, plain).cost()
    assert cost >= least * (1 - 1e-9)
    assert figures(route, model).expected.cost == pytest.approx(cost, rel=1e-9)


@SEEDS
def test_no_lower_bound_lies_above_the_least_cost(seed, role, monkeypatch):
    model, plain, _, least = tried_out(seed, role)
    assert least_minutes(model) == pytest.approx(least, rel=1e-9)
    monkeypatch.setattr(bounds, "affordable", lambda model: False)
    bound = least_minutes(model)
    assert 0 < bound <= least * (1 + 1e-9)
    if not plain.tree.ask_first:
        root = state_of(model, Situation())
        assert bounds.perfect_information(model, root) <= least * (1 + 1e-9)
        assert bounds.free_answers(model, root) <= least * (1 + 1e-9)


@SEEDS
def test_the_step_taken_anywhere_in_a_walk_is_one_of_the_best(seed, role):
    """Along random walks of each tree, whatever was answered and whatever failed."""
    model, _, planner, _ = tried_out(seed, role)
    for situation, here in walks(planner, seed, walks=2):
        step = next_step(model, situation)
        allowed = planner.steps(here)
        assert (step.kind, step.of) in allowed
        assert planner.value_of((step.kind, step.of), here) == pytest.approx(planner.value(here), rel=1e-9)


def test_the_rates_of_waiting_and_of_money_are_those_of_the_settings():
    for seed in range(6):
        tree = made_up(seed)
        plain = plainly(tree)
        for settings, hurry, wait in (
            (Settings(wait_rate=0.3, money_per_minute=2.0), False, 0.3),
            (Settings(), True, 1.0),
        ):
            model = build_model(tree, "owner", settings, other_trees=OTHER_TREES, hurry=hurry)
            money = settings.money_per_minute
            least = Exhaustive(plain, OTHER_TREES, wait, money).value(Here(plain.prior))
            route = compile_route(model)
            assert least_minutes(model) == pytest.approx(least, rel=1e-9)
            assert figures(route, model).expected.cost == pytest.approx(
                follow(route, plain).cost(wait, money), rel=1e-9
            )


def test_beliefs_are_shares_at_every_node():
    for seed, role in FEW[:8]:
        model, plain, _, _ = tried_out(seed, role)
        route = compile_route(model)
        found = follow(route, plain)
        for at, node in enumerate(route.nodes):
            assert np.isfinite(node.shares).all()
            assert sum(node.shares) == pytest.approx(1, abs=1e-9)
            if found.nodes.get(at, 0.0) > 1e-12:
                shares = [weight / found.nodes[at] for weight in found.weights[at]]
                assert node.shares == pytest.approx(shares, abs=1e-9)
