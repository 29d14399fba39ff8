"""The search: what it may not take for a plan."""

from __future__ import annotations

import pytest

from diagnose.reasoning.compiling import route_by
from diagnose.reasoning.exact import exact_plan
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import prove
from diagnose.reasoning.searching import SearchedPlan
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.made_up_large import OTHER_TREES, made_up_of


@pytest.mark.parametrize(("causes", "checks", "seed"), [(4, 2, 1), (5, 6, 26), (7, 5, 22)])
def test_nothing_closes_before_all_that_is_asked_first_was_asked(causes, checks, seed):
    """Where a referral at once is cheapest, the danger questions come first all the same."""
    model = build_model(made_up_of(seed, causes, checks), other_trees=OTHER_TREES)
    root = state_of(model, Situation())
    assert any(table.first for table in model.checks)
    plan = SearchedPlan(model, root)
    assert prove(route_graph(route_by(model, plan), model), model) == (1, 2, 3, 4, 5, 6, 7)
    best = exact_plan(model, root).cost
    assert best * (1 - 1e-9) <= plan.cost <= best * 1.01


def test_the_next_step_of_a_search_is_asked_first_too():
    model = build_model(made_up_of(1, 4, 2), other_trees=OTHER_TREES)
    root = state_of(model, Situation())
    assert model.checks[int(SearchedPlan(model, root).decide(root)[0])].first
