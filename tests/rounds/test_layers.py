"""Layers of what is done: which ways are forgotten, when waits are over, and what was cut off."""

import pytest

from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import UNIT, jobs_of
from diagnose.rounds.layers import FEWEST, Search, Way, beats, best_of, clock, first_layer, join
from tests.rounds.made import clocked, made_up, orders_of, place, task


def way(time, tie=0, *over):
    return Way(time, tie, over, 0, None)


@pytest.mark.parametrize(
    ("one", "other", "better"),
    [
        (way(5), way(6), True),
        (way(6), way(5), False),
        (way(5, 1), way(5, 1), True),
        (way(5, 2), way(5, 1), False),
        (way(5, 2), way(6, 1), True),  # no wait runs: a lead stays a lead
        (way(5, 2, 9), way(6, 1, 9), False),  # idle time may swallow it
        (way(5, 2, 0), way(6, 1, 9), False),
        (way(5, 2, 5), way(6, 1, 0), False),
        (way(5, 1, 9), way(6, 1, 9), True),
        (way(5, 1, 9), way(6, 1, 8), False),  # its wait is over later
        (way(5, 1, 6), way(6, 1, 0), True),  # over by the time that the other ends
        (way(5, 1, 7), way(6, 1, 0), False),
        (way(5, 1, 9, 0), way(6, 0, 9, 0), False),
    ],
)
def test_a_way_beats_another_if_whatever_follows_could_follow_it_no_later(one, other, better):
    assert beats(one, other) is better


def test_of_the_ways_to_a_state_those_stay_that_none_beats():
    front = []
    for each in (way(9, 0), way(5, 5), way(5, 6), way(4, 7), way(4, 2)):
        join(front, each)
    assert front == [way(4, 2)]
    front = []
    for each in (way(9, 0, 12), way(5, 5, 12), way(6, 3, 12), way(7, 4, 12)):
        join(front, each)
    assert front == [way(9, 0, 12), way(5, 5, 12), way(6, 3, 12)]
    assert best_of([way(5, 3, 1), way(6, 0, 0), way(5, 2, 9)]) == way(5, 2, 9)


def test_when_a_task_ends_and_which_waits_still_hold_something_up():
    """By hand: a (4, wait 30) before b; c free. a ends at 5, its wait at 35; b waits for it."""
    known = {"cab": place("cab", 1)}
    tasks = {
        "a": task("a", "cab", 4, wait=30),
        "b": task("b", "cab", 5),
        "c": task("c", "cab", 6, wait=9),
    }
    jobs = jobs_of(tasks, {"b": frozenset("a")}, known, set())
    a, b, c = range(3)
    one = clock(jobs, 0, (0,), 1 << a, a, 5 * UNIT)
    assert one == (5 * UNIT, (35 * UNIT,))
    two = clock(jobs, *one, 1 << a | 1 << c, c, 6 * UNIT)
    assert two == (11 * UNIT, (35 * UNIT,))  # nothing comes after c: its wait is nobody's
    assert clock(jobs, *two, 7, b, 5 * UNIT) == (40 * UNIT, (0,))
    # a wait that is over by then, and one that nothing open comes after, are forgotten
    assert clock(jobs, 33 * UNIT, (35 * UNIT,), 1 << a | 1 << c, c, 6 * UNIT) == (39 * UNIT, (0,))
    assert clock(jobs, 35 * UNIT, (35 * UNIT,), 7, b, 5 * UNIT) == (40 * UNIT, (0,))
    assert clock(jobs, UNIT, (0,), 1 << c, c, 6 * UNIT) == (7 * UNIT, (0,))


@pytest.mark.parametrize("seed", range(8))
def test_what_is_cut_off_could_not_have_been_better_than_it_is_said(seed):
    tasks, after, known = made_up(6, seed, 4, 0.15, 0.4 * (seed % 2), safety=0.3 * (seed % 3 > 0))
    jobs = jobs_of(tasks, after, known, set())
    rest = Rest(jobs)
    best = min(clocked(order, tasks, after, known) for order in orders_of(tasks, after)) * UNIT
    search = Search(jobs, rest, work=1)
    layer = first_layer(jobs)
    for nth in range(6):
        layer = search.next(layer, nth)
        assert 0 < sum(map(len, layer.values())) <= FEWEST
    found = best_of(way for ways in layer.values() for way in ways).time
    least = max(rest.fixed(0, jobs.here), rest.running(0, jobs.running))
    assert least <= search.least_cut
    assert min(found, search.least_cut) <= best + 1 <= found + 2


@pytest.mark.parametrize("seed", [0, 4])
def test_about_as_many_steps_are_tried_as_are_asked_for_and_more_of_them_keep_more_ways(seed):
    jobs = jobs_of(*made_up(8, seed, 5, 0.05, 0.3), set())
    rest, widest = Rest(jobs), []
    for work in (1, 500, 1000):
        search, layer, kept = Search(jobs, rest, work=work), first_layer(jobs), []
        for nth in range(8):
            layer = search.next(layer, nth)
            kept.append(sum(map(len, layer.values())))
        widest.append(max(kept))
        assert work == 1 or 0.7 * work < search._tried <= work
    assert widest == sorted(set(widest))


@pytest.mark.parametrize("seed", range(10))
def test_no_way_is_kept_that_ends_after_what_is_of_interest_and_none_is_lost(seed):
    jobs = jobs_of(*made_up(6, seed, 4, 0.3, 0.6), set())
    rest = Rest(jobs)
    best = best_of(Search(jobs, rest).run()).time
    assert {each.time for each in Search(jobs, rest, most=best).run()} == {best}
    assert Search(jobs, rest, most=best - 1).run() == []
