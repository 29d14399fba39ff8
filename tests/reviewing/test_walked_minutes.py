"""What walks cost: worked by hand on the worked tree, and on the mean just what its route says.

The figures of the worked tree were computed with a separate plain implementation.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reviewing.walked_minutes import minutes_by_cause, walked_minutes
from diagnose.terms import DiagnoseError
from diagnose.walking.past import read_past
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, model_of
from tests.reasoning.fleets import Fleet
from tests.reviewing.made_up_past import Walker

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LOCKER = {"places": ("hum", "pipe", "tank"), "wait": 20.0, "pump_price": 10.0, "workshop_price": 40.0}


def cost(model, *lines, truth="pump", ahead=(), **fields):
    """Of a walk with those (kind, subject, answer) lines; `ahead` are the numbers of those given ahead."""
    journal = tuple(
        Entry(NOON, kind, subject, answer, ahead=number in ahead, number=number)
        for number, (kind, subject, answer) in enumerate(lines, start=1)
    )
    record = CaseRecord(1, model.tree.id, "", "owner", "cured", NOON, NOON, confirmed=True, entries=journal)
    record = replace(record, **fields)
    return walked_minutes(read_past(model.tree, journal), record, model.index[truth], model)


@pytest.fixture(scope="module")
def locker():
    return build_model(worked_tree(**LOCKER), "technician")


HUM, UNSURE = ("finding", "hum", "yes"), ("finding", "volts", "not-sure")
TANK = ("tried", "tank", "not-cured")


def test_steps_ways_and_the_referral_are_added_up(locker):
    """hum 2 and the way 25; volts 3 and a twentieth of 20; tank 4; workshop 120 and 40 of money at .50."""
    referred = {"state": "referred", "referral": "workshop"}
    assert cost(locker, HUM) == 27
    assert cost(locker, HUM, UNSURE) == 31
    assert cost(locker, HUM, UNSURE, TANK) == 35
    assert cost(locker, HUM, UNSURE, TANK, **referred) == 235
    assert cost(locker, ("tried", "pump", "cured"), ("cured-when", "pump", "yes")) == 50


def test_what_could_not_be_done_costs_the_way_alone(locker):
    assert cost(locker, ("tried", "tank", "could-not"), HUM) == 27


def test_what_was_given_ahead_costs_nothing_yet_somebody_was_there(locker):
    assert cost(locker, HUM, UNSURE, ahead=(1,)) == 4
    assert cost(locker, HUM, TANK, ahead=(1,)) == 4


def test_what_was_taken_back_was_not_walked_and_what_was_asked_twice_was(locker):
    assert cost(locker, HUM, UNSURE, ("back", "2", None)) == 27
    assert cost(locker, HUM, ("finding", "hum", "no")) == 29


def test_only_walks_of_this_store_that_came_to_an_end_are_compared(locker):
    assert cost(locker, HUM, state="left-off") is None
    assert cost(locker, HUM, state="open") is None
    assert cost(locker, HUM, source="elsewhere") is None
    assert cost(locker, HUM, ahead=(1,)) is None
    assert cost(locker) is None
    assert cost(locker, HUM, state="referred", referral="gone") is None


def test_a_referral_that_does_not_serve_the_cause_has_another_behind_it():
    """An electrician is 240 minutes, the workshop 240: what an electrician does not serve costs both."""
    model = model_of(
        {"any_of": {"wire": cause(50, {"refer": "electrician"}), "hose": cause(45)}}, role="technician"
    )
    referred = {"state": "referred", "referral": "electrician"}
    assert cost(model, ("finding", "look", "one"), truth="wire", **referred) == 241
    assert cost(model, ("finding", "look", "one"), truth="hose", **referred) == 481
    handed = cost(model, ("finding", "look", "one"), truth="hose", state="referred", referral="workshop")
    assert handed == 241


def test_what_a_route_lets_expect_is_that_of_the_worked_tree():
    """V = 36.2333375, and 61.1428125 with a locker; there are several routes of that cost."""
    for tree, expected in ((worked_tree(), 36.2333375), (worked_tree(**LOCKER), 61.1428125)):
        model = build_model(tree)
        assert model.prior @ minutes_by_cause(model, None) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("tree", "expected"), [(worked_tree(), 36.2333375), (worked_tree(**LOCKER), 61.1428125)]
)
def test_walks_of_a_fleet_that_is_as_the_file_says_cost_on_the_mean_what_its_route_says(tree, expected):
    """V of the worked tree, without and with a locker; 1,500 walks, four standard errors.

    Nothing in it is for a technician alone, so the owner's model has every step.
    """
    model, rng = build_model(tree), np.random.default_rng(11)
    walker = Walker(model, rng, route=compile_route(model))
    answers = {id: tree.checks[id].answer_ids() for id in model.rows}
    walker.fleet = Fleet(model.ids, answers, model.prior, dict(model.rows))
    walked = []
    for _ in range(1500):
        record, truth = walker.walk(NOON)
        past = read_past(tree, record.entries)
        walked.append(walked_minutes(past, record, model.index[truth], model))
    error = np.std(walked) / len(walked) ** 0.5
    assert error < 0.05 * expected
    assert np.mean(walked) == pytest.approx(expected, abs=4 * error)


def test_a_tree_without_a_route_that_may_be_walked_lets_expect_nothing(monkeypatch):
    def refuse(model, cache):
        raise DiagnoseError("no route")

    from diagnose.walking import shelf

    monkeypatch.setattr(shelf, "route_for", refuse)
    assert minutes_by_cause(build_model(worked_tree()), None) is None
