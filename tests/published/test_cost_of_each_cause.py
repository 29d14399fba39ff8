"""The cost of a route for each cause apart: the worked figures of a separate plain implementation."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import cost_by_cause


def test_the_worked_costs_of_each_cause_come_out(tree):
    # With no hum and no reading the pump (.25 x .5 x .9 / 30) and the tank (.10 x .15 / 4) are equally worth
    # trying: two routes are best. The worked one tries the pump first, as one does if it is a hair likelier.
    pump = replace(tree.events["pump"], in_100=25.0 + 1e-6)
    route = compile_route(build_model(replace(tree, events={**tree.events, "pump": pump})))
    model = build_model(tree)
    found = cost_by_cause(route, model)
    assert found == pytest.approx([10.8265, 59.61625, 34.344188, 9.223375, 184.15], abs=6e-7)
    # The expected minutes of the best route are their mean over the shares.
    assert model.prior @ found == pytest.approx(36.2333375, abs=1e-9)


def test_the_other_best_route_costs_the_same_on_average(tree):
    model = build_model(tree)
    assert model.prior @ cost_by_cause(compile_route(model), model) == pytest.approx(36.2333375, abs=1e-9)


def test_the_worked_cost_with_places_waiting_and_money_is_their_mean(tree_with_locker):
    model = build_model(tree_with_locker)
    assert model.prior @ cost_by_cause(compile_route(model), model) == pytest.approx(61.1428125, abs=1e-9)
