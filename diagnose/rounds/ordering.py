"""The order in which a round takes the fewest minutes, and the proof of how good it is.

Up to `EXACT` open tasks, and beyond as long as the layers stay narrow enough, the order is the best of all:
no other order that keeps to `after` ends earlier, idle time while waits run included. Of the orders that end
at that minute it is the best in what counts then (`layers`): safety tasks as early as possible, then what
wants something of the day, then the order of the file.

Longer rounds keep only the ways that promise most and move parts of the order about; `bound` is then proved
all the same: no order can end before it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import START, UNIT, Jobs, all_before, jobs_of
from diagnose.rounds.layers import FIRST, WORK, Search, Way, best_of, order_of
from diagnose.rounds.polishing import polished, time_of
from diagnose.terms import Place
from diagnose.terms.rounds import Task

EXACT = 12
"""Up to so many open tasks an order is always the best there is."""
OF_THE_DAY = frozenset({"daylight", "dry", "mild", "no-frost"})
"""What nobody can bring about: a task that wants it goes early where that costs nothing (judgement)."""


@dataclass(frozen=True, slots=True)
class Plan:
    """An order of the open tasks."""

    order: tuple[str, ...]
    minutes: float
    """Hands-on minutes, ways and idle time, until the last task is done."""
    bound: float
    """No order takes fewer minutes."""
    exact: bool
    """Whether it is proved that none takes fewer than this one."""


@dataclass(frozen=True, slots=True)
class Timed:
    """One task on the clock of a round; all in minutes."""

    task: str
    way: float
    """Getting there; nought where one is there already."""
    idle: float
    """Nothing to do until a wait is over."""
    begins: float
    ends: float
    over: float
    """When its own wait is over."""


def planned(
    tasks: Mapping[str, Task],
    after: Mapping[str, Set[str]],
    places: Mapping[str, Place],
    done: Set[str] = frozenset(),
    here: str = START,
    running: Mapping[str, float] | None = None,
) -> Plan:
    """The order of the tasks not in `done` that takes the fewest minutes, beginning at the place `here`.

    `running` are the minutes that waits of tasks done will still take. Raises graphlib.CycleError for an
    order that nobody can keep, KeyError for a place that is not among `places`.
    """
    return plan_of(jobs_of(tasks, after, places, done, here, running, OF_THE_DAY))


def plan_of(jobs: Jobs) -> Plan:
    """The same for tasks that are numbers already."""
    if not jobs.ids:
        return Plan((), 0.0, 0.0, True)
    rest = Rest(jobs)
    few = len(jobs.ids) <= EXACT
    order = _improved(jobs, rest, best_of(Search(jobs, rest, work=FIRST).run()))
    search = Search(jobs, rest, most=time_of(jobs, order), work=None if few else WORK)
    found = search.run()
    if found:
        order = _improved(jobs, rest, best_of(found))
    time = time_of(jobs, order)
    bound = min(time, search.least_cut)
    return Plan(jobs.named(order), time / UNIT, bound / UNIT, bound == time)


def _improved(jobs: Jobs, rest: Rest, way: Way) -> list[int]:
    """A way's order, with parts of it moved unless it is known to be the best."""
    order = order_of(way)
    least = max(rest.fixed(0, jobs.here), rest.running(0, jobs.running))
    return polished(jobs, order) if way.time > least else order


def timed(
    tasks: Mapping[str, Task],
    after: Mapping[str, Set[str]],
    places: Mapping[str, Place],
    order: Sequence[str],
    here: str = START,
    running: Mapping[str, float] | None = None,
) -> tuple[Timed, ...]:
    """When each task of an order begins and ends, each as soon as the order lets it.

    An order that breaks `after` is timed too: a task waits for those before it in the order alone.
    """
    above = all_before(after)
    rows: list[Timed] = []
    time, place = 0.0, here
    over = dict(running or {})
    for id in order:
        task = tasks[id]
        way = 0.0 if task.at == place else places[task.at].access
        ready = max((over[each] for each in above.get(id, ()) if each in over), default=0.0)
        begins = max(time + way, ready)
        ends = begins + task.minutes
        over[id] = ends + task.wait
        rows.append(Timed(id, way, begins - time - way, begins, ends, over[id]))
        time, place = ends, task.at
    return tuple(rows)
