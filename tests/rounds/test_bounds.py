"""The least that the rest of a round takes: worked by hand, and never over the best order."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import UNIT, jobs_of
from tests.rounds.made import clocked, made_up, orders_of, place, task

YARD = {"cab": place("cab", 1), "kitchen": place("kitchen", 3)}


@pytest.mark.parametrize("file", ["abc", "acb", "bac", "bca", "cab", "cba"])
def test_a_chain_that_leaves_a_place_forces_a_second_visit(file):
    """By hand: cab, kitchen, cab in a chain is 1+3+1 on the way, whatever else is done, and 4+5+6 of work."""
    made = {id: task(id, at, m) for id, at, m in [("a", "cab", 4), ("b", "kitchen", 5), ("c", "cab", 6)]}
    tasks = {id: made[id] for id in file}
    after = {"b": frozenset("a"), "c": frozenset("b")}
    jobs = jobs_of(tasks, after, YARD, set())
    assert Rest(jobs).fixed(0, jobs.here) == 20 * UNIT
    in_the_cab = jobs_of(tasks, after, YARD, set(), "cab")
    assert Rest(in_the_cab).fixed(0, in_the_cab.here) == 19 * UNIT
    assert Rest(in_the_cab).fixed(in_the_cab.mask({"a"}), in_the_cab.here) == 15 * UNIT


@pytest.mark.parametrize("file", ["abc", "bca"])
def test_a_wait_counts_with_all_that_it_stands_between(file):
    """By hand: 4 before it, 30 of waiting, 5+6 behind it; 15 of work and 5 of ways would be less."""
    made = {
        "a": task("a", "cab", 4, wait=30),
        "b": task("b", "kitchen", 5),
        "c": task("c", "kitchen", 6),
    }
    tasks = {id: made[id] for id in file}
    jobs = jobs_of(tasks, {"b": frozenset("a"), "c": frozenset("a")}, YARD, set())
    assert Rest(jobs).fixed(0, jobs.here) == 45 * UNIT
    assert Rest(jobs).busy(0, jobs.here) == 19 * UNIT


def test_after_a_wait_that_runs_all_that_comes_after_it_is_still_to_be_done():
    """By hand: over at 12, then 5, a wait of 9 and 6 behind it; with the 6 alone left it is 18."""
    tasks = {
        "b": task("b", "kitchen", 5, wait=9),
        "c": task("c", "kitchen", 6),
        "d": task("d", "cab", 20),
    }
    after = {"b": frozenset("a"), "c": frozenset("ab")}
    jobs = jobs_of(tasks, after, YARD, {"a"}, running={"a": 12})
    rest = Rest(jobs)
    (nothing, a_runs) = (0, 0), (0, 12 * UNIT)
    assert jobs.running == a_runs
    assert rest.running(0, nothing) == 0
    assert rest.running(0, a_runs) == (12 + 5 + 9 + 6) * UNIT
    assert rest.running(jobs.mask({"b"}), a_runs) == 18 * UNIT
    assert rest.running(jobs.mask({"b"}), (30 * UNIT, 12 * UNIT)) == 36 * UNIT
    assert rest.running(jobs.mask({"b", "c"}), a_runs) == 0
    assert Rest(jobs, jobs.mask({"d"})).running(0, a_runs) == 0


def test_a_chain_takes_its_minutes_and_every_wait_between():
    """By hand: 4+30+5+9+6 with the waits, and from the second on 5+9+6; done from the end nothing is left."""
    tasks = {
        "d": task("d", "cab", 1),
        "a": task("a", "cab", 4, wait=30),
        "b": task("b", "cab", 5, wait=9),
        "c": task("c", "cab", 6, wait=50),
    }
    jobs = jobs_of(tasks, {"b": frozenset("a"), "c": frozenset("b")}, YARD, set(), "cab")
    rest = Rest(jobs)
    assert rest.fixed(0, jobs.here) == 54 * UNIT
    assert rest.fixed(jobs.mask({"a"}), jobs.here) == 20 * UNIT
    assert rest.fixed(jobs.mask({"a", "b"}), jobs.here) == 7 * UNIT
    assert Rest(jobs, jobs.mask({"a", "d"})).fixed(0, jobs.here) == 5 * UNIT


@given(st.integers(1, 6), st.integers(0, 10**6), st.sampled_from([0, 0.3, 0.7]), st.sampled_from([0, 0.6]))
@settings(max_examples=25, deadline=None)
def test_the_bound_is_never_over_the_best_order(number, seed, links, waits):
    tasks, after, known = made_up(number, seed, 3, links, waits)
    jobs = jobs_of(tasks, after, known, set())
    best = min(clocked(order, tasks, after, known) for order in orders_of(tasks, after))
    assert Rest(jobs).fixed(0, jobs.here) <= best * UNIT + 1
    some = jobs.safety
    for n in range(number):
        some |= jobs.before[n] if some >> n & 1 else 0
    assert Rest(jobs, some).fixed(0, jobs.here) <= best * UNIT + 1
    assert Rest(jobs, some).busy(0, jobs.here) <= Rest(jobs).busy(0, jobs.here)


@pytest.mark.parametrize("seed", range(6))
def test_with_each_task_done_what_is_left_and_what_was_spent_never_fall(seed):
    """Along an order the time spent and the bound of the rest together never fall: they are one bound."""
    tasks, after, known = made_up(6, seed, 3, 0.3, 0)
    jobs = jobs_of(tasks, after, known, set())
    rest = Rest(jobs)
    for order in list(orders_of(tasks, after))[:20]:
        done, where, least = 0, jobs.here, 0
        for nth, id in enumerate(order, 1):
            done |= jobs.mask({id})
            where = jobs.at[jobs.ids.index(id)]
            spent = clocked(order[:nth], tasks, after, known) * UNIT
            now = spent + rest.fixed(done, where)
            assert now >= least - 1000
            least = now
        assert least == pytest.approx(clocked(order, tasks, after, known) * UNIT)
