"""The orders of the shipped rounds: the best there are, and what somebody in a yard would do (judgement)."""

import networkx as nx
import pytest

from diagnose.knowledge.collection import Library
from diagnose.rounds.ordering import planned, timed
from diagnose.rounds.shortest import short
from diagnose.terms.rounds import ROUNDS
from tests.rounds.made import clocked, graph_of

LIBRARY = Library()
PLACES = LIBRARY.common().places


def plan_for(id, **more):
    round = LIBRARY.round(id)
    return round, planned(round.tasks, round.after, PLACES, **more)


@pytest.mark.parametrize("id", ROUNDS)
def test_the_order_is_proved_to_be_the_best_and_no_longer_than_the_files(id):
    round, plan = plan_for(id)
    assert plan.exact
    assert sorted(plan.order) == sorted(round.tasks)
    at = {task: n for n, task in enumerate(plan.order)}
    assert all(at[before] < at[task] for before, task in graph_of(round.tasks, round.after).edges)
    assert plan.minutes == pytest.approx(clocked(plan.order, round.tasks, round.after, PLACES), abs=1e-9)
    assert plan.minutes <= clocked(list(round.tasks), round.tasks, round.after, PLACES)


def test_on_waking_up_the_thirty_minutes_of_air_are_spent_at_the_wheels():
    round, plan = plan_for("wake-up")
    rows = {row.task: row for row in timed(round.tasks, round.after, PLACES, plan.order)}
    assert sum(row.idle for row in rows.values()) == 0
    assert rows["w1-mice"].ends < rows["w4-tyres"].begins < rows["w1-mice"].over


@pytest.mark.parametrize(
    ("id", "first", "then"),
    [
        ("wake-up", "w3-uncover", "w14-gas w15-hob w16-fridge w17-heat"),  # no flame under a covered flue
        (
            "wake-up",
            "w1-mice",
            "p19-alarms w2-battery w9-engine w10-panel w11-hook-up",
        ),  # no switch on gnawed wire
        ("wake-up", "w12-fill", "p5-disinfect w13-toilet w17-heat"),  # no water heated that is not there
        ("journey", "j2-gas w8-fluids", "j3-shut j5-papers"),  # no locker left open
        ("lay-up", "p18-fuel p11-park", "p7-covers p1-charge p13-air p3-list"),  # not driven under covers
        ("hand-over", "h1-checks w4-tyres", "h3-limits"),
    ],
)
def test_what_must_come_first_comes_first(id, first, then):
    order = plan_for(id)[1].order
    assert max(order.index(task) for task in first.split()) < min(order.index(task) for task in then.split())


@pytest.mark.parametrize("id", ROUNDS)
def test_a_short_round_has_every_safety_task_and_what_it_comes_after(id):
    round = LIBRARY.round(id)
    graph = graph_of(round.tasks, round.after)
    safety = {task.id for task in round.tasks.values() if task.safety}
    for minutes in (30, 150):
        found = short(round.tasks, round.after, PLACES, minutes, {})
        assert safety <= found.must <= set(found.plan.order)
        assert all(nx.ancestors(graph, task) <= set(found.plan.order) for task in found.plan.order)
        assert found.too_long or found.plan.minutes <= minutes
        assert found.exact
