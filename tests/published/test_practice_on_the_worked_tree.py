"""Practice on the worked tree: regrets, shares and minutes against figures that were worked apart.

Figures of a separate plain implementation (see conftest.py); the planner's sources are those of
test_order_and_plan.py: Heckerman, Breese & Rommelse 1995; Nilsson 1980, from memory.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.practising.exercise import Exercise
from diagnose.practising.practice import Practice, best_of
from diagnose.practising.scoring import scored
from diagnose.practising.valuing import values_of_steps
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.terms import Situation

OF_EACH_CAUSE = [10.8265, 59.61625, 34.344188, 9.223375, 184.15]
"""Minutes of the best route if fuse, pump, pipe, tank, not-listed is what is wrong."""
LEAST = 36.2333375
AT_ONCE = 120.0
"""The referral, at once."""


@pytest.fixture
def worked(tree):
    # A hair likelier, so that of two equally good routes the worked one is taken.
    pump = replace(tree.events["pump"], in_100=25.0 + 1e-6)
    model = build_model(replace(tree, events={**tree.events, "pump": pump}))
    return model, compile_route(model)


def started(worked, fault, seed=1):
    model, route = worked
    return Practice(Exercise(model, seed, model.index[fault]), route)


def test_the_first_steps_are_worth_what_was_worked_out(worked):
    model, _ = worked
    values = values_of_steps(model, Situation())
    assert values.min() == pytest.approx(LEAST, abs=1e-5)
    assert values[model.check_index["hum"]] == values.min()
    assert values[-1] == pytest.approx(AT_ONCE)


def test_handing_over_at_once_loses_what_the_best_route_would_have_saved(worked):
    each = started(worked, "fuse")
    turn = each.choose(each.by_id("workshop"))
    assert turn.worth.regret == pytest.approx(AT_ONCE - LEAST, abs=1e-5)
    assert turn.worth.better.of == "hum"
    assert scored(each).costliest is turn


def test_the_first_worked_question_loses_nothing_and_moves_the_share_as_worked(worked):
    quiet = next(
        each
        for each in (started(worked, "pump", seed) for seed in range(99))
        if each.vehicle.finding("hum").answer == "no"
    )
    turn = quiet.choose(quiet.by_id("hum"))
    assert turn.worth.regret == 0
    # hum = no: .667802 .212947 .051107 .025554 .042589
    assert turn.shares == pytest.approx((0.25, 0.212947), abs=1e-6)


@pytest.mark.parametrize("fault", range(5))
def test_minutes_over_drawn_vehicles_are_those_worked_for_their_fault(worked, fault):
    model, route = worked
    # More where the walks are short and only few go astray.
    seeds = range(500 if model.ids[fault] == "fuse" else 100)
    spent = np.array([best_of(Exercise(model, seed, fault), route).spent().cost for seed in seeds])
    # Seeded: within four standard errors.
    error = spent.std(ddof=1) / np.sqrt(len(spent))
    assert abs(spent.mean() - OF_EACH_CAUSE[fault]) < 4 * error
    best = best_of(Exercise(model, 3, fault), route)
    assert scored(best).of_such == pytest.approx(OF_EACH_CAUSE[fault], abs=6e-7)
    assert scored(best).expected.cost == pytest.approx(LEAST, abs=1e-5)


def test_with_places_waiting_and_money_the_mean_is_the_worked_cost(tree_with_locker):
    model = build_model(tree_with_locker)
    route = compile_route(model)
    means = []
    for fault in range(5):
        spent = [best_of(Exercise(model, seed, fault), route).spent() for seed in range(40)]
        means.append([np.mean([each.cost for each in spent]), np.var([each.cost for each in spent]) / 40])
    mean = sum(share * each for share, (each, _) in zip(model.prior, means, strict=True))
    error = np.sqrt(sum(share**2 * each for share, (_, each) in zip(model.prior, means, strict=True)))
    # V = 61.1428125, worked with the locker's way paid once.
    assert abs(mean - 61.1428125) < 4 * error
