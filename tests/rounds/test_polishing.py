"""Orders made better by moving parts: every move there is, and none left that saves time."""

from itertools import islice
from random import Random

import networkx as nx
import pytest

from diagnose.rounds import polishing
from diagnose.rounds.jobs import UNIT, jobs_of
from diagnose.rounds.polishing import _moves, polished, time_of
from tests.rounds.made import clocked, graph_of, made_up, orders_of

ROUNDS = [made_up(6, seed, 3, links, 0.4) for seed, links in enumerate((0, 0.2, 0.5, 0.2))]


def numbered(tasks, order):
    return [list(tasks).index(id) for id in order]


def every_move(order, length, allowed):
    """Every order that has so many in a row elsewhere and may be kept, listed plainly."""
    found = []
    for start in range(len(order) - length + 1):
        part, rest = order[start : start + length], [*order[:start], *order[start + length :]]
        moved = [[*rest[:to], *part, *rest[to:]] for to in range(len(rest) + 1) if to != start]
        found += [each for each in moved if allowed(each)]
    return sorted(found)


def allowing(tasks, after):
    graph, ids = nx.transitive_closure(graph_of(tasks, after)), list(tasks)
    return lambda order: (
        not any(
            graph.has_edge(ids[later], ids[first]) for at, first in enumerate(order) for later in order[at:]
        )
    )


@pytest.mark.parametrize("made", ROUNDS)
def test_every_allowed_move_is_tried_and_no_other(made):
    tasks, after, known = made
    jobs = jobs_of(tasks, after, known, set())
    allowed = allowing(tasks, after)
    for order in list(orders_of(tasks, after))[:3]:
        for length in (1, 2, 3):
            moves = sorted(_moves(jobs, numbered(tasks, order), length))
            assert moves == every_move(numbered(tasks, order), length, allowed)


@pytest.mark.parametrize("made", ROUNDS)
def test_no_move_is_left_that_saves_time_and_the_order_is_timed_as_by_a_plain_clock(made):
    tasks, after, known = made
    jobs, allowed = jobs_of(tasks, after, known, set()), allowing(tasks, after)
    orders = list(orders_of(tasks, after))
    for order in Random(1).sample(orders, min(4, len(orders))):
        first = numbered(tasks, order)
        best = polished(jobs, first)
        time = time_of(jobs, best)
        assert sorted(best) == sorted(first)
        assert time == pytest.approx(clocked([list(tasks)[n] for n in best], tasks, after, known) * UNIT)
        assert time <= time_of(jobs, first)
        others = [other for length in range(1, 6) for other in every_move(best, length, allowed)]
        assert all(time_of(jobs, other) >= time for other in others)


@pytest.mark.parametrize("seed", range(12))
def test_no_move_is_left_that_saves_time_from_a_poor_beginning_either(seed):
    tasks, after, known = made_up(9, seed, 4, 0.1, 0.4)
    jobs, allowed = jobs_of(tasks, after, known, set()), allowing(tasks, after)
    first = numbered(
        tasks,
        max(list(islice(orders_of(tasks, after), 50)), key=lambda order: clocked(order, tasks, after, known)),
    )
    best = polished(jobs, first)
    time = time_of(jobs, best)
    assert all(
        time_of(jobs, other) >= time for length in range(1, 8) for other in every_move(best, length, allowed)
    )


def test_so_many_orders_are_timed_and_no_more(monkeypatch):
    tasks, after, known = made_up(8, 3, 4, 0, 0)
    jobs = jobs_of(tasks, after, known, set())
    timed = []
    monkeypatch.setattr(polishing, "time_of", lambda jobs, order: timed.append(order) or 1)
    monkeypatch.setattr(polishing, "MOST_TRIED", 10)
    assert polished(jobs, list(range(8))) == list(range(8))
    assert len(timed) == 1 + 10
