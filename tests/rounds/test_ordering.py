"""Orders of rounds: worked by hand, against every order there is, and as laws."""

from graphlib import CycleError

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rounds import ordering
from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import UNIT, jobs_of
from diagnose.rounds.ordering import planned, timed
from tests.rounds.made import clocked, graph_of, made_up, orders_of, place, task

YARD = {"outside": place("outside", 2), "cab": place("cab", 1), "kitchen": place("kitchen", 1)}


def of(*tasks):
    return {each.id: each for each in tasks}


def test_a_place_is_left_as_seldom_as_the_order_allows():
    """By hand. Cab 10, kitchen 5 after it, cab 4: a c b is 1+10+4+1+5 = 21, c a b the same, a b c is 22.

    Of the two that take 21 the one in the order of the file.
    """
    tasks = of(task("a", "cab", 10), task("b", "kitchen", 5), task("c", "cab", 4))
    plan = planned(tasks, {"b": frozenset({"a"})}, YARD)
    assert plan.order == ("a", "c", "b")
    assert (plan.minutes, plan.bound, plan.exact) == (21, 21, True)


def test_other_tasks_fill_a_wait():
    """By hand. Air (5, wait 30), then connectors after it (10), tyres (20) anywhere between.

    1+5, tyres 2+20 end at 28, back in the cab 29, idle till 36, +10 = 46. Tyres last: 1+5, idle till 36, 46,
    2+20 = 68. Tyres first: 20, 21, 26, 56, 66.
    """
    tasks = of(task("air", "cab", 5, wait=30), task("connectors", "cab", 10), task("tyres", "outside", 20))
    after = {"connectors": frozenset({"air"})}
    plan = planned(tasks, after, YARD)
    assert plan.order == ("air", "tyres", "connectors")
    assert (plan.minutes, plan.exact) == (46, True)
    rows = timed(tasks, after, YARD, plan.order)
    assert [(row.task, row.way, row.idle, row.begins, row.ends, row.over) for row in rows] == [
        ("air", 1, 0, 1, 6, 36),
        ("tyres", 2, 0, 8, 28, 28),
        ("connectors", 1, 7, 36, 46, 46),
    ]


def test_a_wait_that_nothing_comes_after_costs_nothing():
    tasks = of(task("fridge", "kitchen", 10, wait=360))
    assert planned(tasks, {}, YARD).minutes == 11


def test_a_wait_that_runs_already_is_waited_for():
    """By hand: the cab task may begin at 12 and 2+3 fit before, the way back to the cab as well: 12+4."""
    tasks = of(task("air", "cab", 5, wait=30), task("belts", "cab", 4), task("lamps", "outside", 3))
    after = {"belts": frozenset({"air"})}
    plan = planned(tasks, after, YARD, {"air"}, "cab", {"air": 12})
    assert (plan.order, plan.minutes) == (("lamps", "belts"), 16)


def test_a_round_that_is_done_has_an_empty_order():
    plan = planned(of(task("a", "cab", 1)), {}, YARD, {"a"})
    assert (plan.order, plan.minutes, plan.bound, plan.exact) == ((), 0, 0, True)


def test_order_goes_through_a_task_that_this_vehicle_does_not_have():
    tasks = of(task("last", "outside", 5), task("first", "cab", 5))
    after = {"last": frozenset({"not-fitted"}), "not-fitted": frozenset({"first"})}
    assert planned(tasks, after, YARD).order == ("first", "last")
    assert planned(tasks, {}, YARD).order == ("last", "first")


def test_an_order_that_nobody_can_keep_is_refused():
    with pytest.raises(CycleError):
        planned(of(task("a", "cab", 1), task("b", "cab", 1)), {"a": {"b"}, "b": {"a"}}, YARD)


CHOICES = st.tuples(
    st.integers(0, 10**6), st.integers(1, 4), st.sampled_from([0, 0.2, 0.5]), st.sampled_from([0, 0.3, 0.8])
)


def against_every_order(number, seed, places, links, waits):
    tasks, after, known = made_up(number, seed, places, links, waits)
    here = ["outside", "p0"][seed % 2]
    plan = planned(tasks, after, known, here=here)
    minutes = {tuple(order): clocked(order, tasks, after, known, here) for order in orders_of(tasks, after)}
    best = min(minutes.values())
    assert plan.exact
    assert plan.bound == plan.minutes == pytest.approx(best, abs=1e-9)
    assert minutes[plan.order] == pytest.approx(best, abs=1e-9)
    assert timed(tasks, after, known, plan.order, here)[-1].ends == pytest.approx(best, abs=1e-9)
    among = [order for order, each in minutes.items() if each <= best + 1e-9]
    assert what_counts(plan.order, tasks) == min(what_counts(order, tasks) for order in among)


def what_counts(order, tasks):
    """At equal minutes: safety early, then what wants daylight, then the order of the file."""
    file = list(tasks)
    turned = sum(file.index(one) > file.index(other) for at, one in enumerate(order) for other in order[at:])
    safety = sum(at for at, id in enumerate(order) if tasks[id].safety)
    return safety, sum(at for at, id in enumerate(order) if tasks[id].wants), turned


@given(st.integers(1, 6), CHOICES)
@settings(max_examples=25, deadline=None)
def test_no_order_ends_earlier(number, choice):
    against_every_order(number, *choice)


@pytest.mark.long
@given(st.integers(7, 8), CHOICES)
@settings(max_examples=6, deadline=None)
def test_no_order_of_eight_ends_earlier(number, choice):
    against_every_order(number, *choice)


@pytest.mark.parametrize(
    "number", [13, *(pytest.param(number, marks=pytest.mark.long) for number in (16, 24))]
)
@given(CHOICES)
@settings(max_examples=2, deadline=None)
def test_a_longer_order_is_allowed_and_not_below_its_bound(number, choice):
    tasks, after, known = made_up(number, *choice)
    plan = planned(tasks, after, known)
    assert sorted(plan.order) == sorted(tasks)
    place_of = {id: at for at, id in enumerate(plan.order)}
    graph = graph_of(tasks, after)
    assert nx.is_directed_acyclic_graph(graph)
    assert all(place_of[before] < place_of[id] for before, id in graph.edges)
    assert plan.minutes == pytest.approx(clocked(plan.order, tasks, after, known), abs=1e-9)
    assert plan.bound <= plan.minutes
    assert plan.exact == (plan.bound == plan.minutes)
    assert plan.bound <= clocked(next(iter(orders_of(tasks, after))), tasks, after, known) + 1e-9
    assert plan == planned(tasks, after, known)


@pytest.mark.parametrize(("exact_up_to", "work", "exact"), [(9, 1, True), (8, 1, False), (8, 10**6, True)])
def test_how_hard_is_looked_hangs_on_how_many_tasks_are_open(monkeypatch, exact_up_to, work, exact):
    made = made_up(9, 14, 5, 0.2, 0.4)
    best = planned(*made)
    for name, number in {"EXACT": exact_up_to, "FIRST": 1, "WORK": work}.items():
        monkeypatch.setattr(ordering, name, number)
    plan = planned(*made)
    assert plan.exact is exact
    assert plan.bound <= best.minutes <= plan.minutes
    assert (plan.minutes == best.minutes) is exact
    assert plan.bound >= Rest(jobs := jobs_of(*made, set())).fixed(0, jobs.here) / UNIT


@pytest.mark.parametrize("seed", [5, 14])
def test_an_order_is_polished_unless_it_is_known_to_be_the_best(monkeypatch, seed):
    made, polished, moved = made_up(9, seed, 5, 0.2, 0.4), ordering.polished, []
    monkeypatch.setattr(
        ordering, "polished", lambda jobs, order: moved.append(order) or polished(jobs, order)
    )
    jobs = jobs_of(*made, set())
    rough = ordering.best_of(ordering.Search(jobs, Rest(jobs), work=1).run())
    for name, number in {"EXACT": 8, "FIRST": 1, "WORK": 1}.items():
        monkeypatch.setattr(ordering, name, number)
    plan = ordering.plan_of(jobs)
    assert ordering.order_of(rough) == moved[0]
    assert plan.minutes * UNIT <= ordering.time_of(jobs, polished(jobs, moved[0])) <= rough.time
    alone = planned(of(task("a", "cab", 3), task("b", "cab", 4)), {}, YARD)
    assert alone.exact
    assert not any(len(order) == 2 for order in moved)


@given(CHOICES)
@settings(max_examples=10, deadline=None)
def test_what_is_done_is_in_no_order_and_holds_nothing_up(choice):
    tasks, after, known = made_up(7, *choice)
    order = planned(tasks, after, known).order
    rest = planned(tasks, after, known, set(order[:3]), tasks[order[2]].at)
    assert sorted(rest.order) == sorted(order[3:])
    left = {id: tasks[id] for id in order[3:]}
    among = {id: ids & set(left) for id, ids in after.items() if id in left}
    best = min(clocked(each, left, among, known, tasks[order[2]].at) for each in orders_of(left, among))
    assert rest.minutes == pytest.approx(best, abs=1e-9)
