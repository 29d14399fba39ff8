"""The best part of a round: worked by hand, and against every set of tasks that could be done."""

from itertools import combinations
from random import Random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rounds import shortest
from diagnose.rounds.jobs import UNIT, jobs_of
from diagnose.rounds.ordering import planned
from diagnose.rounds.shortest import _Choice, short
from tests.rounds.made import clocked, graph_of, made_up, orders_of, place, task

YARD = {"outside": place("outside", 2), "cab": place("cab", 1), "kitchen": place("kitchen", 1)}
TASKS = {
    "tyres": task("tyres", "outside", 10, safety=True),
    "connectors": task("connectors", "cab", 6),
    "engine": task("engine", "cab", 8),
    "lamps": task("lamps", "outside", 5),
    "fridge": task("fridge", "kitchen", 4),
}
AFTER = {"engine": frozenset({"connectors"})}
SAVED = {"tyres": 3.0, "connectors": 1.0, "engine": 20.0, "lamps": 6.0, "fridge": 5.0}


@pytest.mark.parametrize(
    ("minutes", "chosen", "saved"),
    [
        # Tyres take 10, lamps 5 more, the fridge 4 and 1 on the way, the engine 8, 6 before it and 1 to go.
        (10, ["tyres"], 3),
        (14, ["tyres"], 3),
        (15, ["tyres", "lamps"], 9),
        (19, ["tyres", "lamps"], 9),
        (20, ["tyres", "lamps", "fridge"], 14),
        (25, ["tyres", "connectors", "engine"], 24),
        (30, ["tyres", "lamps", "connectors", "engine"], 30),
        (35, ["tyres", "lamps", "connectors", "engine", "fridge"], 35),
    ],
)
def test_the_minutes_there_are_go_where_they_save_most(minutes, chosen, saved):
    """By hand; at 24 the engine would not fit, so 14 saved stay the best up to there."""
    found = short(TASKS, AFTER, YARD, minutes, SAVED)
    assert sorted(found.plan.order) == sorted(chosen)
    assert (found.saved, found.bound, found.exact, found.too_long) == (saved, saved, True, False)
    assert found.plan.minutes <= minutes
    assert found.left_out == tuple(id for id in TASKS if id not in chosen)


def test_safety_tasks_are_in_it_even_if_they_alone_take_longer():
    tasks = TASKS | {"belts": task("belts", "cab", 10, safety=True)}
    found = short(tasks, AFTER | {"belts": frozenset({"connectors"})}, YARD, 20, SAVED)
    assert found.too_long
    assert found.must == {"tyres", "belts", "connectors"}
    assert sorted(found.plan.order) == ["belts", "connectors", "tyres"]
    assert found.plan.minutes == 27
    assert (found.saved, found.bound, found.exact) == (4, 4, True)
    known = short(tasks, AFTER | {"belts": frozenset({"connectors"})}, YARD, 20, {})
    assert (known.saved, known.bound, known.exact) == (0, 0, True)
    assert found.left_out == ("engine", "lamps", "fridge")


def test_what_nothing_is_known_of_fills_the_time_left_over():
    found = short(TASKS, AFTER, YARD, 16, {})
    assert sorted(found.plan.order) == ["lamps", "tyres"]
    assert (found.saved, found.bound, found.exact) == (0, 0, True)


def test_what_is_done_is_not_counted_again():
    found = short(TASKS, AFTER, YARD, 9, SAVED, {"tyres", "connectors"}, "cab")
    assert (found.plan.order, found.saved) == (("engine",), 20)
    assert found.must == set()


def test_a_wait_that_runs_already_takes_its_time_here_too():
    """By hand: the belts wait till 12 and take 4, so 15 minutes are too few for them and 16 enough."""
    tasks = {
        "air": task("air", "cab", 5, wait=30),
        "belts": task("belts", "cab", 4, safety=True),
        "horn": task("horn", "cab", 3),
    }
    after = {"belts": frozenset({"air"})}
    late, in_time = (
        short(tasks, after, YARD, minutes, {"horn": 1}, {"air"}, "cab", {"air": 12}) for minutes in (15, 16)
    )
    assert (late.too_long, late.plan.order, late.plan.minutes) == (True, ("belts",), 16)
    assert (in_time.too_long, in_time.plan.order, in_time.plan.minutes) == (False, ("horn", "belts"), 16)
    free = {**tasks, "belts": task("belts", "cab", 4)}
    found = short(free, after, YARD, 10, {"belts": 5, "horn": 1}, {"air"}, "cab", {"air": 12})
    assert (found.plan.order, found.saved) == (("horn",), 1)


def test_what_is_chosen_is_done_in_the_order_that_it_must():
    """The engine comes after its connectors, which stand behind it in the file."""
    turned = dict(reversed(TASKS.items()))
    found = short(turned, AFTER, YARD, 25, SAVED)
    assert found.plan.order.index("connectors") < found.plan.order.index("engine")
    must = turned | {"engine": task("engine", "cab", 8, safety=True)}
    assert short(must, AFTER, YARD, 25, SAVED).plan.minutes == 25
    assert not short(must, AFTER, YARD, 25, SAVED).too_long


def test_no_choice_saves_more_than_what_the_best_rates_would_fill_the_time_with():
    """By hand, a bound: 10 minutes, rates 3, 2, 1 a minute: 4 x 3, 5 x 2, one of 8 minutes in part."""
    known = {"cab": place("cab", 0)}
    tasks = {"slow": task("slow", "cab", 8), "mid": task("mid", "cab", 5), "fast": task("fast", "cab", 4)}
    jobs = jobs_of(tasks, {}, known, set(), "cab")
    choice = _Choice(jobs, [8.0, 10.0, 12.0], 0, 10 * UNIT)
    at = jobs.here
    assert choice.upper((0, at), 0) == pytest.approx(12 + 10 + 1)
    assert choice.upper((jobs.mask({"fast"}), at), 4 * UNIT) == pytest.approx(12 + 10 + 1)
    assert choice.upper((jobs.mask({"slow"}), at), 8 * UNIT) == pytest.approx(8 + 6)
    assert choice.upper((jobs.all, at), 17 * UNIT) == pytest.approx(30)
    safe = _Choice(jobs, [8.0, 10.0, 12.0], jobs.mask({"slow"}), 10 * UNIT)
    assert safe.upper((0, at), 0) == pytest.approx(8 + 6)
    assert safe.value(jobs.mask({"slow", "fast"})) == 20
    fast = _Choice(jobs, [8.0, 10.0, 12.0], jobs.mask({"fast"}), 10 * UNIT)
    assert fast.upper((0, at), 0) == pytest.approx(12 + 10 + 1)
    little = _Choice(jobs, [0.4, 0.5, 0.8], 0, 10 * UNIT)
    assert little.upper((0, at), 0) == pytest.approx(0.8 + 0.5 + 0.4 / 8)


CUT = made_up(9, 3, 4, 0.1, 0.2, safety=0)
DICE = Random(3)
CUT_SAVES = {id: DICE.random() * 9 for id in CUT[0]}


def test_a_choice_that_had_to_be_cut_lies_below_its_bound_and_more_work_lowers_the_bound():
    jobs = jobs_of(*CUT, set())
    saved = list(CUT_SAVES.values())
    best = _Choice(jobs, saved, 0, 25 * UNIT)
    best.search(None)
    assert best.most_cut == 0
    bounds = []
    for work in (1, 400):
        choice = _Choice(jobs, saved, 0, 25 * UNIT)
        choice.search(work)
        assert choice.value(choice.chosen) <= best.value(best.chosen)
        assert max(choice.value(choice.chosen), choice.most_cut) >= best.value(best.chosen)
        bounds.append(choice.most_cut)
    assert bounds[1] < bounds[0] < sum(saved)


@pytest.mark.parametrize(("exact_up_to", "middling", "exact"), [(9, 0, True), (8, 9, True), (8, 8, False)])
def test_how_hard_is_looked_hangs_on_how_many_tasks_are_open(monkeypatch, exact_up_to, middling, exact):
    for name, number in {
        "EXACT": exact_up_to, "MIDDLING": middling, "FIRST": 1, "WORK": 1, "MORE_WORK": 10**6
    }.items():  # fmt: skip
        monkeypatch.setattr(shortest, name, number)
    found = short(*CUT, 25, CUT_SAVES)
    assert found.exact is exact
    assert found.saved == pytest.approx(sum(CUT_SAVES[id] for id in found.plan.order))
    assert (found.bound == found.saved) is exact
    assert found.saved <= found.bound < sum(CUT_SAVES.values())


def test_what_was_cut_and_could_not_have_saved_more_leaves_the_choice_the_best(monkeypatch):
    made, dice = made_up(9, 6, 4, 0.1, 0.2, safety=0), Random(6)
    saves = {id: dice.random() * 9 for id in made[0]}
    best = short(*made, 25, saves)
    for name, number in {"EXACT": 8, "FIRST": 1, "MORE_WORK": 700}.items():
        monkeypatch.setattr(shortest, name, number)
    found = short(*made, 25, saves)
    assert (found.exact, found.saved, found.bound) == (True, best.saved, best.saved)


def against_every_set(number, seed, links, waits):
    """The best of all sets, each timed by the best of its orders."""
    tasks, after, known = made_up(number, seed, 3, links, waits, safety=0.15)
    dice = Random(seed)
    saved = {id: dice.choice([0.3, 0.1, 1, 2, 6]) for id in tasks}
    minutes = dice.choice([5, 15, 30, 60])
    graph = graph_of(tasks, after)
    must = {id for id in tasks if tasks[id].safety}
    must = must.union(*(nx.ancestors(graph, id) for id in must))
    fitting = [
        set(some)
        for size in range(len(must), number + 1)
        for some in combinations(tasks, size)
        if must <= set(some)
        and all(nx.ancestors(graph, id) <= set(some) for id in some)
        and least(tasks, after, known, some) <= minutes + 1e-9
    ]
    found = short(tasks, after, known, minutes, saved)
    assert found.must == must
    assert found.too_long == (not fitting)
    if fitting:
        assert found.exact
        assert found.saved == pytest.approx(max(sum(saved[id] for id in some) for some in fitting), abs=1e-9)
        assert found.plan.minutes <= minutes + 1e-9
        assert set(found.plan.order) in fitting
    else:
        assert set(found.plan.order) == must


def least(tasks, after, known, some):
    kept = {id: tasks[id] for id in some}
    among = {id: ids & set(some) for id, ids in after.items() if id in some}
    if len(kept) > 6:  # held against every order in test_ordering.py
        return planned(kept, among, known).minutes
    return min(clocked(order, kept, among, known) for order in orders_of(kept, among)) if kept else 0


CHOICES = (st.integers(0, 10**6), st.sampled_from([0.1, 0.3, 0.6]), st.sampled_from([0, 0.5]))


@given(st.integers(1, 6), *CHOICES)
@settings(max_examples=12, deadline=None)
def test_no_other_set_saves_more(number, seed, links, waits):
    against_every_set(number, seed, links, waits)


@pytest.mark.long
@given(st.integers(7, 10), *CHOICES)
@settings(max_examples=4, deadline=None)
def test_no_other_set_of_ten_saves_more(number, seed, links, waits):
    against_every_set(number, seed, links, waits)


@pytest.mark.long
@pytest.mark.parametrize("seed", [0])
def test_a_choice_that_is_not_proved_lies_within_its_bound(seed):
    """Twenty tasks: allowed, in time, and the bound is no less than a plain greedy choice."""
    tasks, after, known = made_up(20, seed, 6, 0.05, 0.1, safety=0.1)
    dice = Random(seed)
    saved = {id: dice.random() for id in tasks}
    found = short(tasks, after, known, 90, saved)
    assert not found.too_long
    graph = graph_of(tasks, after)
    assert all(nx.ancestors(graph, id) <= set(found.plan.order) for id in found.plan.order)
    assert found.plan.minutes <= 90
    assert found.saved == pytest.approx(sum(saved[id] for id in found.plan.order))
    greedy = set(found.must)
    for id in sorted(tasks, key=lambda id: -saved[id] / tasks[id].minutes):
        more = greedy | {id} | nx.ancestors(graph, id)
        if planned({each: tasks[each] for each in more}, after, known).minutes <= 90:
            greedy = more
    assert found.bound >= sum(saved[id] for id in greedy) - 1e-9
    assert found.saved >= 0.98 * sum(saved[id] for id in greedy)
