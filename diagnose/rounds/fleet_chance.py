"""How many vehicles are out by a day: drawn many times, with what the open tasks may bring to light.

In each run every open task and walk takes its expected minutes times a drawn factor, and each open task is
found wrong by its chance. Something wrong opens the walk of its likeliest tree, which takes that walk's own
minutes; what is wrong then belongs to somebody else as often as the shares of the tree's causes say. The
vehicles are worked in the order of the least left, each by one person, the next one by whoever is free first.

A visit comes on its settled day or after a drawn number of days, the same for all vehicles: called today for
what is known already. What is found before that visit is seen to at it; for the rest somebody is called on
the day on which it was found. A vehicle is out once its work is done and its visits were.

What is drawn is judgement and stands in `Assumptions`. Repair times are commonly taken to be lognormal
(MIL-HDBK-472, from memory). Parts are taken to be at hand, and nothing else to come up.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import log
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from diagnose.rounds.fleet import Fleet, FleetVehicle
from diagnose.rounds.fleet_needs import comes
from diagnose.rounds.fleet_walks import WalkAhead, Walks
from diagnose.terms import DiagnoseError
from diagnose.terms.rounds import Task

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Assumptions:
    """What the simulation takes for granted; all of it is judgement."""

    people: int = 1
    minutes_a_day: float = 240.0
    """What each of them spends on the round in a day."""
    spread: float = 0.3
    """Standard deviation of a task's minutes as a part of them."""
    walk_spread: float = 0.6
    """The same for a walk."""
    visit_days: float = 10.0
    """Days until somebody who is called comes, on average."""
    visit_spread: float = 0.5
    """Their standard deviation as a part of them."""
    runs: int = 4000
    seed: int = 1


@dataclass(frozen=True, slots=True)
class TaskAhead:
    """One open task."""

    minutes: float
    wrong: float
    """The chance that it is found wrong."""
    walk: WalkAhead | None = None
    """The walk that a wrong opens."""
    refer: str | None = None
    """Whom a wrong is referred to where it opens no walk."""


@dataclass(frozen=True, slots=True)
class Work:
    """What is left of one vehicle."""

    name: str
    tasks: tuple[TaskAhead, ...] = ()
    ways: float = 0.0
    """Minutes of getting there and of idle time, which are not drawn."""
    walks: tuple[WalkAhead, ...] = ()
    visits: frozenset[str] = frozenset()
    """Whom it waits for already."""
    stopped: bool = False
    """Whether danger stopped it: no date can be given for it."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """How many are out by a day."""

    by: date
    days: int
    """Days of work before it, today among them."""
    mean: float
    low: int
    """The 5 % point: in 95 of 100 runs at least so many are out."""
    high: int
    """The 95 % point."""
    all_out: float
    """The chance that all are."""
    chances: Mapping[str, float]
    """Vehicle -> the chance that it is out."""
    assumptions: Assumptions
    booked: Mapping[str, date]
    """Whoever is called -> the day on which they come, where that is settled."""


class TooLate(DiagnoseError):
    """The day is not after today."""


def work_of(
    vehicle: FleetVehicle, tasks: Mapping[str, Task], walks: Walks, wrong: Callable[[Task], float]
) -> Work:
    """What is left of a vehicle, with the chance of `wrong` for each of its open tasks."""
    ahead = []
    for id in vehicle.left:
        task = tasks[id]
        walk = walks.from_start(task.opens[0]) if task.opens else None
        ahead.append(TaskAhead(task.minutes, wrong(task), walk, task.refer))
    return Work(
        vehicle.name,
        tuple(ahead),
        max(0.0, vehicle.round_minutes - sum(each.minutes for each in ahead)),
        tuple(each.ahead for each in vehicle.walks if each.ahead is not None),
        frozenset(comes(errand.referral) for errand in vehicle.errands),
        vehicle.stopped,
    )


def forecast(
    fleet: Fleet,
    works: Sequence[Work],
    by: date,
    assumed: Assumptions,
    booked: Mapping[str, date] | None = None,
) -> Forecast:
    """How many of the fleet are out by the morning of a day; `booked` are visits whose day is settled.

    Raises TooLate for today or an earlier day.
    """
    days = (by - fleet.today).days
    if days < 1:
        raise TooLate(f"{by} leaves no day to work in; give a day after today")
    settled = {referral: (day - fleet.today).days + 1 for referral, day in (booked or {}).items()}
    out = out_by(works, days, assumed, settled)
    counts = out.sum(axis=1)
    low, high = (int(each) for each in np.quantile(counts, (0.05, 0.95), method="inverted_cdf"))
    chances = {work.name: float(column.mean()) for work, column in zip(works, out.T, strict=True)}
    everything = float((counts == len(works)).mean())
    return Forecast(by, days, float(counts.mean()), low, high, everything, chances, assumed, booked or {})


def out_by(
    works: Sequence[Work], days: int, assumed: Assumptions, booked: Mapping[str, int] | None = None
) -> NDArray[np.bool_]:
    """Runs by vehicles: which are out after so many days; `booked` visits come on that day, today being 1.

    Work: runs times all open tasks.
    """
    loads = np.zeros((assumed.runs, assumed.people))
    visits = _Visits(assumed, frozenset().union(*(work.visits for work in works)), booked or {})
    out = np.zeros((assumed.runs, len(works)), dtype=bool)
    for at, work in enumerate(works):
        minutes, found = _drawn(work, assumed)
        free = loads.argmin(axis=1)
        rows = np.arange(assumed.runs)
        loads[rows, free] += minutes
        done = np.where(minutes > 0, np.ceil(loads[rows, free] / assumed.minutes_a_day - 1e-9), 0.0)
        ready = done.copy()
        for referral in sorted(work.visits):
            ready = np.maximum(ready, visits.first(referral))
        for referral, needed in sorted(found.items()):
            ready = np.where(needed, np.maximum(ready, visits.after(referral, done)), ready)
        out[:, at] = (ready <= days) & (not work.stopped)
    return out


class _Visits:
    """On which day each one who is called comes, in each run; drawn when first asked for."""

    def __init__(self, assumed: Assumptions, called: Collection[str], booked: Mapping[str, int]) -> None:
        self._assumed, self._called, self._booked = assumed, called, booked
        self._drawn: dict[str, Array] = {}

    def first(self, referral: str) -> Array:
        """The day of the first visit: the settled one, or some days after today's call."""
        if referral in self._booked:
            return np.full(self._assumed.runs, float(self._booked[referral]))
        return self._wait("known", referral)

    def after(self, referral: str, day: Array) -> Array:
        """When somebody sees to what was found on a day: the first visit if that is later, else another."""
        another = day + self._wait("found", referral)
        if referral not in self._called and referral not in self._booked:
            return another
        first = self.first(referral)
        return np.where(day < first, first, another)

    def _wait(self, which: str, referral: str) -> Array:
        """Whole days after a call."""
        label = f"{which} {referral}"
        if label not in self._drawn:
            rng = _stream(self._assumed.seed, label)
            factors = _factors(rng, self._assumed.visit_spread, self._assumed.runs)
            self._drawn[label] = np.ceil(self._assumed.visit_days * factors - 1e-9)
        return self._drawn[label]


def _drawn(work: Work, assumed: Assumptions) -> tuple[Array, dict[str, NDArray[np.bool_]]]:
    """A vehicle's minutes in each run, and in which of them whoever is called for what was found."""
    rng = _stream(assumed.seed, f"vehicle {work.name}")
    runs = assumed.runs
    minutes = np.full(runs, float(work.ways))
    found: dict[str, NDArray[np.bool_]] = {}
    for task in work.tasks:
        minutes += task.minutes * _factors(rng, assumed.spread, runs)
        wrong = rng.random(runs) < task.wrong
        lengths, whose = _factors(rng, assumed.walk_spread, runs), rng.random(runs)
        if task.walk is not None:
            minutes += np.where(wrong, task.walk.own_minutes * lengths, 0.0)
            _pass_on(task.walk, wrong, whose, found)
        elif task.refer is not None:
            _need(comes(task.refer), wrong, found)
    for walk in work.walks:
        minutes += walk.own_minutes * _factors(rng, assumed.walk_spread, runs)
        _pass_on(walk, np.ones(runs, dtype=bool), rng.random(runs), found)
    return minutes, found


def _pass_on(
    walk: WalkAhead, wrong: NDArray[np.bool_], whose: Array, found: dict[str, NDArray[np.bool_]]
) -> None:
    """Where a walk comes to a referral, and to which; `whose` is even from 0 to 1."""
    below = 0.0
    for referral, chance in sorted(walk.passes.items()):
        _need(comes(referral), wrong & (whose >= below) & (whose < below + chance), found)
        below += chance


def _need(referral: str, where: NDArray[np.bool_], found: dict[str, NDArray[np.bool_]]) -> None:
    found[referral] = found[referral] | where if referral in found else where


def _factors(rng: np.random.Generator, spread: float, number: int) -> Array:
    """Lognormal factors whose mean is 1 and whose standard deviation is `spread`."""
    if spread <= 0:
        return np.ones(number)
    variance = log(1 + spread * spread)
    return rng.lognormal(-variance / 2, variance**0.5, number)


def _stream(seed: int, label: str) -> np.random.Generator:
    """A stream of its own for each label: what one vehicle draws does not hang on the others."""
    return np.random.default_rng([seed, crc32(label.encode())])
