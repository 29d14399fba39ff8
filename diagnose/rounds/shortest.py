"""The best part of a round in so many minutes.

All safety tasks are in it, with whatever they must come after, even if they alone take longer. Of the rest it
has the tasks that save the most minutes later and still fit, never one without what it must come after, ways
and idle time counted. Each set of tasks that may be done is met in the layers of `layers` at its least time,
so as long as no layer had to be cut the choice is the best of all. What a set can still come to is bounded by
filling the minutes that are left with the remaining tasks by falling minutes saved per minute, the last one
in part (the relaxation of Dantzig 1957, from memory), ways and order left out; so a choice that is not proved
to be the best has its bound all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from math import fsum

from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import START, UNIT, Jobs, bits, jobs_of
from diagnose.rounds.layers import FIRST, WORK, Layer, Search, State, Way, first_layer
from diagnose.rounds.ordering import EXACT, Plan, planned
from diagnose.terms import Place
from diagnose.terms.rounds import Task

MIDDLING, MORE_WORK = 24, 400_000
"""Up to so many open tasks more steps are tried: about a second, and mostly a proof."""
LEAST = 1e-9
"""Minutes that any task counts as saving per minute, so that time left over is filled with the rest."""


@dataclass(frozen=True, slots=True)
class Short:
    """What is done of a round that has little time."""

    plan: Plan
    """The chosen tasks in the order that takes the fewest minutes."""
    must: frozenset[str]
    """The safety tasks, and what they must come after."""
    too_long: bool
    """Whether those alone take longer than there is."""
    saved: float
    """Minutes expected to be saved by what is chosen."""
    bound: float
    """No other choice that fits saves more."""
    exact: bool
    """Whether it is proved that none saves more than this one."""
    left_out: tuple[str, ...]
    """The open tasks that are not chosen, in the order of the round."""


def short(
    tasks: Mapping[str, Task],
    after: Mapping[str, Set[str]],
    places: Mapping[str, Place],
    minutes: float,
    saved: Mapping[str, float],
    done: Set[str] = frozenset(),
    here: str = START,
    running: Mapping[str, float] | None = None,
) -> Short:
    """The part of a round that fits into so many minutes and saves the most.

    `saved` are the minutes that each task is expected to save (nought for one that is missing; none below
    nought). The other arguments are those of `ordering.planned`, and so are the errors raised.
    """
    jobs = jobs_of(tasks, after, places, done, here, running)
    must = jobs.safety
    for task in bits(jobs.safety):
        must |= jobs.before[task]
    least = planned(_only(tasks, jobs, must, done), after, places, done, here, running)
    most = round(minutes * UNIT)
    worth = [max(0.0, saved.get(id, 0.0)) for id in jobs.ids]
    choice = _Choice(
        jobs, [worth[n] + LEAST * tasks[id].minutes for n, id in enumerate(jobs.ids)], must, most
    )
    too_long = least.minutes * UNIT > most
    if not too_long:
        few = len(jobs.ids) <= EXACT
        choice.search(FIRST)
        choice.search(None if few else WORK if len(jobs.ids) > MIDDLING else MORE_WORK)
    value = fsum(worth[n] for n in bits(choice.chosen))
    exact = choice.most_cut <= choice.value(choice.chosen)
    return Short(
        planned(_only(tasks, jobs, choice.chosen, done), after, places, done, here, running),
        frozenset(jobs.named(tuple(bits(must)))),
        too_long,
        value,
        value if exact else max(value, choice.most_cut),
        exact,
        jobs.named(tuple(bits(jobs.all & ~choice.chosen))),
    )


def _only(tasks: Mapping[str, Task], jobs: Jobs, chosen: int, done: Set[str]) -> dict[str, Task]:
    """A set of the open tasks, and those that are done."""
    ids = {*jobs.named(tuple(bits(chosen))), *done}
    return {id: task for id, task in tasks.items() if id in ids}


class _Choice:
    """The best set of tasks met so far, and the most that any set cut off could have come to."""

    def __init__(self, jobs: Jobs, saved: list[float], must: int, most: int) -> None:
        self._jobs, self._saved, self._must, self._most = jobs, saved, must, most
        self._rest = Rest(jobs, must)
        optional = [n for n in range(len(saved)) if not must >> n & 1 and saved[n] > 0]
        self._by_rate = sorted(optional, key=lambda n: (-saved[n] / max(1, jobs.minutes[n]), n))
        self._values: dict[int, float] = {}
        self.chosen, self._time = must, most
        self.most_cut = 0.0

    def value(self, tasks: int) -> float:
        """The minutes that a set of tasks is expected to save."""
        known = self._values.get(tasks)
        if known is None:
            known = self._values[tasks] = fsum(self._saved[n] for n in bits(tasks))
        return known

    def search(self, work: int | None) -> None:
        """Looks at every set that can be done in time, or at those that promise most."""
        layers = _ByValue(self._jobs, self._rest, self._most, work, self.upper)
        layer = first_layer(self._jobs)
        for nth in range(len(self._jobs.ids)):
            layer = layers.next(layer, nth)
            for (done, _), ways in layer.items():
                if not self._must & ~done:
                    self._note(done, min(way.time for way in ways))
            layer = self._open_ones(layer)
        self.most_cut = max(0.0, -layers.least_cut)

    def upper(self, state: State, time: int) -> float:
        """No set that is come to from here saves more.

        The time left after all that must be done, idle time apart (other tasks may fill it), is filled by
        rate.
        """
        done = state[0]
        left = self._most - time - self._rest.busy(*state)
        gained = [self.value(done | self._must)]
        for n in self._by_rate:
            if done >> n & 1:
                continue
            if self._jobs.minutes[n] > left:
                gained.append(self._saved[n] * left / self._jobs.minutes[n])
                break
            gained.append(self._saved[n])
            left -= self._jobs.minutes[n]
        return fsum(gained)

    def _note(self, done: int, time: int) -> None:
        value, best = self.value(done), self.value(self.chosen)
        if value > best or (value == best and time < self._time):
            self.chosen, self._time = done, time

    def _open_ones(self, layer: Layer) -> Layer:
        """What may still come to more than the best so far."""
        best = self.value(self.chosen)
        found = {}
        for state, ways in layer.items():
            kept = [way for way in ways if self.upper(state, way.time) > best]
            if kept:
                found[state] = kept
        return found


class _ByValue(Search):
    """A search that keeps the ways which can save the most."""

    def __init__(
        self, jobs: Jobs, rest: Rest, most: int, work: int | None, upper: Callable[[State, int], float]
    ) -> None:
        super().__init__(jobs, rest, most, work)
        self._upper = upper

    def promise(self, state: State, way: Way) -> float:
        """The most that a way can save, turned round."""
        return -self._upper(state, way.time)
