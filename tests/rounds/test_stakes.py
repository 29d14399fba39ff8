"""What a tree has at stake, against the worked figures of a separate plain implementation."""

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.rounds.stakes import AWAY, stake_of
from tests.published.conftest import worked_tree
from tests.trees.shipped import model_of

MODEL = build_model(worked_tree())


def test_now_is_the_remedy_and_what_follows_where_it_fails():
    """By hand: fuse 8, pump 30 + .1 x 120, pipe 20, tank 4, else the workshop's 120."""
    assert stake_of(MODEL).now == pytest.approx((8, 42, 20, 4, 120), abs=1e-9)


def test_without_a_route_looking_costs_what_the_best_order_of_remedies_loses():
    """38.4 is the worked cost of that order, 24.1 the worked bound of knowing at once: 14.3 for looking."""
    stake = stake_of(MODEL)
    search = 38.4 - 24.1
    assert sum(p * now for p, now in zip(stake.shares, stake.now, strict=True)) == pytest.approx(24.1)
    assert stake.later == pytest.approx(
        (8 + search, 42 + search, 20 + search, 4 + search, 120 + search + AWAY), abs=1e-9
    )


def test_with_a_route_later_is_what_its_walk_costs_for_each_cause():
    """Two routes are equally good (see tests/published); for all causes together both cost 36.2333375."""
    stake = stake_of(MODEL, compile_route(MODEL))
    unknown = stake.shares[-1]
    walk = sum(p * later for p, later in zip(stake.shares, stake.later, strict=True)) - unknown * AWAY
    assert walk == pytest.approx(36.2333375, abs=1e-9)


def test_the_routes_minutes_do_for_the_route():
    route = compile_route(MODEL)
    assert stake_of(MODEL, minutes=list(cost_by_cause(route, MODEL))) == stake_of(MODEL, route)


def test_a_check_tells_a_cause_by_how_far_its_answers_are_from_the_others():
    """By hand, hum of the worked tree: fuse says yes .02 of 1; the others on average (.25 x .5 + .3 x .85 +
    .05 x .5) / .6 = .675. The distance is .655.
    """
    stake = stake_of(MODEL)
    hum = stake.looks[0]
    assert hum.tells[0] == pytest.approx(0.675 - 0.02, abs=1e-9)
    assert hum.tells[2] == pytest.approx(0.85 - (0.4 * 0.02 + 0.25 * 0.5 + 0.1 * 0.85 + 0.05 * 0.5) / 0.8)


def test_a_fact_lifts_a_cause_over_what_the_tree_says_otherwise():
    """leak-inside: a split fitting was not drained in .45, any other leak in .10: 4.5 times as often."""
    lifts = stake_of(model_of("leak-inside")).lifts["drained"]
    stake = stake_of(model_of("leak-inside"))
    undrained = dict(zip(stake.causes, lifts["undrained"], strict=True))
    assert undrained["fitting-split"] == pytest.approx(4.5)
    assert undrained["waste-trap"] == pytest.approx(1)
    assert undrained["not-listed"] == 1


@pytest.mark.parametrize("id", ["water-pump", "hob-goes-out", "engine-no-crank"])
def test_finding_it_later_never_costs_less(id):
    stake = stake_of(model_of(id))
    assert all(later >= now >= 0 for now, later in zip(stake.now, stake.later, strict=True))
    assert sum(stake.shares) == pytest.approx(1)
