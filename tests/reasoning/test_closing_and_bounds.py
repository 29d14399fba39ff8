"""The cheapest way to end without asking, and what no route can undercut.

Sources, from memory: Kalagnanam & Henrion 1990 for the order of remedies, Horn 1972 for jobs behind a place
that has to be reached first. Printed figures worked by a separate plain implementation.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.bounds import free_answers, perfect_information
from diagnose.reasoning.closing import best_closing
from diagnose.reasoning.model import build_model
from diagnose.reasoning.states import joined, state_of
from diagnose.terms import NOT_CURED, Situation
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, do, faults, model_of
from tests.reasoning.exhaustive import Closing, Here
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.plain_bayes import plainly

LOCKER = {"places": ("hum", "pipe", "tank"), "wait": 20.0, "pump_price": 10.0, "workshop_price": 40.0}


def remedies_at_places(seed, restoring=0, scale=1.0):
    """Five causes whose remedies are done here, at either of two places, or nowhere in particular.

    The first so many of them restore the mains; work and ways take so many times as long.
    """
    rng = Random(seed)

    def remedy():
        place = rng.choice([{}, {"at": "here"}, {"at": "there"}])
        return do(minutes=scale * rng.choice([2, 6, 15, 40]), cures=rng.choice([0.5, 0.9, 1]), **place)

    causes = {f"cause_{n}": cause(rng.choice([5, 10, 20, 30]), remedy()) for n in range(5)}
    for n in range(restoring):
        causes[f"cause_{n}"]["remedy"]["restores"] = "mains"
    places = {
        "here": {"says": "Here", "access": scale * rng.choice([3, 12])},
        "there": {"says": "There", "access": scale * 25},
    }
    return model_of(faults(**causes), places=places)


@pytest.mark.parametrize("seed", range(25))
def test_the_closing_is_the_best_of_every_order_of_every_set_of_remedies(seed):
    model = remedies_at_places(seed)
    plain = plainly(model.tree)
    for tried in ({}, {"cause-0": NOT_CURED}, {"cause-1": NOT_CURED, "cause-3": NOT_CURED}):
        state = state_of(model, Situation(tried=tried))
        been = frozenset().union(*(plain.suspects[plain.place(id)].places for id in tried))
        here = Here(tuple(state.weight[0]), tried=frozenset(tried), been=been, starts=len(tried))
        closing = best_closing(model, state, allowed(model, state))
        assert closing.cost[0] == pytest.approx(Closing(plain).value(here), rel=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_a_way_of_less_than_a_minute_counts_as_any_other(seed):
    model = remedies_at_places(seed, scale=1 / 32)
    state = state_of(model, Situation())
    closing = best_closing(model, state, allowed(model, state))
    worth = Closing(plainly(model.tree)).value(Here(tuple(state.weight[0])))
    assert closing.cost[0] == pytest.approx(worth, rel=1e-9)


@pytest.mark.parametrize("restoring", [1, 2, 3])
@pytest.mark.parametrize("seed", range(8))
def test_the_closing_restores_the_mains_once_at_most_by_the_remedy_that_serves_best(seed, restoring):
    model = remedies_at_places(seed, restoring)
    state = state_of(model, Situation())
    closing = best_closing(model, state, allowed(model, state))
    worth = Closing(plainly(model.tree))
    assert closing.cost[0] == pytest.approx(worth.value(Here(tuple(state.weight[0]))), rel=1e-9)


def test_to_restore_the_mains_only_once_costs_something():
    """Else the test above could not fail: by as many remedies as one likes it would be cheaper."""
    for restoring in (2, 3):
        bound, free = remedies_at_places(1, restoring), remedies_at_places(1)
        costs = []
        for model in (bound, free):
            state = state_of(model, Situation())
            costs.append(best_closing(model, state, allowed(model, state)).cost[0])
        assert costs[0] > costs[1] + 0.01


@pytest.mark.parametrize(("starts", "tries", "tried"), [(0, None, 2), (1, None, 1), (2, None, 0), (0, 1, 1)])
def test_a_closing_tries_no_more_than_there_are_tries_left(starts, tries, tried):
    """By hand: causes of six, three and one in ten, remedies that are sure, and a referral for the rest."""
    remedies = {"a": cause(60, do(minutes=9, cures=1)), "b": cause(30, do(minutes=12, cures=1))}
    model = model_of(faults(**remedies), not_listed=10, tries=2)
    state = state_of(model, Situation(), starts)
    left = None if tries is None else np.array([float(tries)])
    closing = best_closing(model, state, allowed(model, state), left)
    first, second = (table.cost for table in model.remedies)
    refer = model.refer_cost
    expected = [refer, first + 0.4 * refer, first + 0.4 * second + 0.1 * refer][tried]
    assert closing.cost.tolist() == [pytest.approx(expected)]
    assert closing.remedy.tolist() == [0 if tried else -1]
    assert closing.ending.tolist() == [0]


def test_without_a_remedy_a_closing_is_an_ending_with_or_without_a_hand_over():
    causes = {"a": cause(80, {"see": OTHER_TREES[0]}), "b": cause(10, {"refer": "electrician"})}
    model = model_of(faults(**causes), not_listed=10)
    state = state_of(model, Situation())
    allow = allowed(model, state)
    free = best_closing(model, state, allow)
    assert (model.endings[free.ending[0]].step.kind, free.remedy.tolist()) == ("handover", [-1])
    assert free.cost[0] == pytest.approx(model.endings[free.ending[0]].minutes + 0.2 * model.refer_cost)
    bound = best_closing(model, state, replace(allow, hand_over=np.array([False])))
    assert model.endings[bound.ending[0]].step.kind == "referral"


def test_of_two_remedies_that_restore_the_mains_each_state_begins_with_its_own():
    """Either may be tried, not both; beside them nothing can be done but refer."""
    causes = {id: cause(45, do(minutes=5, cures=1, restores="mains")) for id in ("a", "b")}
    model = model_of(faults(**causes), not_listed=10)
    start = state_of(model, Situation())
    batch = joined([start, start])
    batch.weight[:] = [[0.8, 0.1, 0.1], [0.1, 0.8, 0.1]]
    closing = best_closing(model, batch, allowed(model, batch))
    assert (closing.remedy.tolist(), closing.ending.tolist()) == ([0, 1], [0, 0])
    assert closing.cost == pytest.approx([model.remedies[0].cost + 0.2 * model.refer_cost] * 2)


@pytest.mark.parametrize(("changes", "printed"), [({}, 24.1), (LOCKER, 42.6)])
def test_perfect_information_bounds_the_worked_tree_as_printed(changes, printed):
    model = build_model(worked_tree(**changes))
    assert perfect_information(model, state_of(model, Situation())) == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(("changes", "printed"), [({}, 32.1441), (LOCKER, 55.1649)])
def test_free_answers_bound_the_worked_tree_as_printed(changes, printed):
    model = build_model(worked_tree(**changes))
    assert free_answers(model, state_of(model, Situation())) == pytest.approx(printed, abs=6e-5)


@pytest.mark.parametrize("seed", range(25))
def test_perfect_information_is_the_sum_over_causes_of_the_best_for_each(seed):
    """Each cause by its remedy (its way there, its cheapest ending if it fails) or by that ending."""
    tree = made_up(seed)
    plain = plainly(tree)
    planner = Closing(plain, OTHER_TREES)
    least = 0.0
    for at, (each, share) in enumerate(zip(plain.suspects, plain.prior, strict=True)):
        sure = Here(tuple(float(n == at) for n in range(len(plain.suspects))))
        ends = [planner.value_of(("referral", id), sure) for id in usable(tree, plain)]
        if each.does == "see":
            ends.append(planner.value_of(("handover", each.target), sure))
        best = min(ends)
        if each.does == "do":
            tried = planner.cost(each) + tree.cured_when.minutes + planner.access(each.places, frozenset())
            best = min(best, tried + (1 - each.cures) * best)
        least += share * best
    model = build_model(tree, other_trees=OTHER_TREES)
    assert perfect_information(model, state_of(model, Situation())) == pytest.approx(least, rel=1e-9)


def usable(tree, plain):
    """Referrals that a step or a stop of the tree can lead to."""
    said = {each.target for each in plain.suspects if each.does == "refer"}
    return said | {tree.refer_to} | {each.refer for each in tree.checks.values() if each.refer}


@pytest.mark.parametrize("seed", range(12))
def test_free_answers_never_cost_more_than_ending_now_and_less_than_knowing_the_cause(seed):
    model = remedies_at_places(seed)
    state = state_of(model, Situation())
    now = best_closing(model, state, allowed(model, state)).cost[0]
    free = free_answers(model, state)
    assert perfect_information(model, state) <= free * (1 + 1e-12)
    assert free <= now * (1 + 1e-12)


def test_a_batch_gives_what_its_states_give_one_by_one():
    model = remedies_at_places(3)
    rng = np.random.default_rng(1)
    states = [state_of(model, Situation()) for _ in range(20)]
    for state in states:
        state.weight[0] = rng.dirichlet(np.ones(len(model.ids)))
    together = joined(states)
    costs = best_closing(model, together, allowed(model, together)).cost
    alone = [best_closing(model, each, allowed(model, each)).cost[0] for each in states]
    assert costs == pytest.approx(alone, rel=1e-12)
