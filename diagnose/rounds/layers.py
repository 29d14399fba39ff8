"""Dynamic programming over what is done: layer by layer, one task more in each.

A state is what is done (always a set that holds whatever its tasks come after), where one is, and, while
waits run, when each will be over. Of two ways to one set and place, one is forgotten where the other is no
later, each of its waits is over no later, and it is no worse in what counts at equal time: whatever follows
the first could follow the second and end no later (the forward dynamic programming of Held & Karp 1962 over
ideals of a partial order, as Schrage & Baker 1978 did; both from memory). So as long as nothing else is
forgotten, the best end is the best of all orders, idle time included.

At equal time counts, in this order: safety tasks as early as possible (the sum of their places in the order),
then those that want something of the day, then staying near the order of the file (pairs turned round).

Where a layer would grow too wide, the ways that promise most are kept, and the least that any of those cut
off could have led to is remembered: nothing better than that can have been lost.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from diagnose.rounds.bounds import Rest
from diagnose.rounds.jobs import Jobs, bits

NEVER = 1 << 200
FIRST, WORK = 12_000, 65_000
"""Steps tried where not everything can be: at first, for something good soon; then, with less left open."""
FEWEST = 8
"""Ways that are kept in each layer whatever the work."""
_SAFETY, _OUTDOORS = 1 << 40, 1 << 20


class Way(NamedTuple):
    """One way to a state: the time on the clock, what counts at equal time, when waits are over, and how."""

    time: int
    tie: int
    over: tuple[int, ...]
    task: int
    """The task done last; -1 at the start."""
    came: Way | None


State = tuple[int, int]
"""What is done, and the number of the place where one is."""
Layer = dict[State, list[Way]]


def first_layer(jobs: Jobs) -> Layer:
    """The state before anything is done."""
    return {(0, jobs.here): [Way(0, 0, jobs.running, -1, None)]}


def order_of(way: Way) -> list[int]:
    """The tasks of a way in their order."""
    order = []
    step: Way | None = way
    while step is not None and step.task >= 0:
        order.append(step.task)
        step = step.came
    return order[::-1]


def best_of(ways: Iterable[Way]) -> Way:
    """The earliest, and of those the best in what counts then."""
    return min(ways, key=lambda way: (way.time, way.tie))


class Search:
    """Layers of one round; `most` is the latest end that is of interest.

    `work` is how many steps are tried in all, more or less; None searches through everything.
    """

    def __init__(self, jobs: Jobs, rest: Rest, most: int = NEVER, work: int | None = None) -> None:
        self.jobs = jobs
        self.most = most
        self.work = work
        self.least_cut: float = NEVER
        """The least that anything cut off could have led to."""
        self._rest = rest
        self._below = tuple((1 << n) - 1 for n in range(len(jobs.ids)))
        self._tried = 0
        # What one step costs: more waits are more clocks to read.
        self._charge = 1 + (len(jobs.heirs) + 3) // 4

    def run(self) -> list[Way]:
        """The ways to the last layer, where everything is done; none where all would end after `most`."""
        layer = first_layer(self.jobs)
        for nth in range(len(self.jobs.ids)):
            layer = self.next(layer, nth)
        return [way for ways in layer.values() for way in ways]

    def next(self, layer: Layer, nth: int) -> Layer:
        """The layer with one task more than `nth`."""
        found: Layer = {}
        before = self._tried
        for (done, place), ways in layer.items():
            left = self.jobs.all & ~done
            for task in bits(left):
                if not self.jobs.before[task] & ~done:
                    self._extend(found, done, place, ways, task, nth)
                    self._tried += len(ways) * self._charge
        if self.work is None or not found:
            return found
        tried = (self._tried - before) / sum(len(ways) for ways in layer.values())
        share = (self.work - self._tried) / max(1, len(self.jobs.ids) - nth - 1)
        return self._cut(found, max(FEWEST, int(share / tried)))

    def _extend(self, found: Layer, done: int, place: int, ways: list[Way], task: int, nth: int) -> None:
        jobs = self.jobs
        bit, to = 1 << task, jobs.at[task]
        state = (done | bit, to)
        after = self._rest.fixed(*state)
        tie = (jobs.all & ~done & self._below[task]).bit_count()
        if jobs.safety & bit:
            tie += nth * _SAFETY
        if jobs.outdoors & bit:
            tie += nth * _OUTDOORS
        spent = (0 if to == place else jobs.access[to]) + jobs.minutes[task]
        for way in ways:
            if way.over:
                end, over = clock(jobs, way.time, way.over, state[0], task, spent)
                least = max(end + after, self._rest.running(state[0], over) if any(over) else 0)
            else:
                end, over = way.time + spent, way.over
                least = end + after
            if least <= self.most:
                front = found.setdefault(state, [])
                join(front, Way(end, way.tie + tie, over, task, way))

    def promise(self, state: State, way: Way) -> float:
        """The least that a way can lead to."""
        return max(way.time + self._rest.fixed(*state), self._rest.running(state[0], way.over))

    def _cut(self, layer: Layer, width: int) -> Layer:
        """The ways that promise most."""
        ranked = [
            (self.promise(state, way), way.tie, state, n)
            for state, ways in layer.items()
            for n, way in enumerate(ways)
        ]
        if len(ranked) <= width:
            return layer
        ranked.sort()
        self.least_cut = min(self.least_cut, ranked[width][0])
        kept: Layer = {}
        for _, _, state, n in ranked[:width]:
            kept.setdefault(state, []).append(layer[state][n])
        return kept


def clock(
    jobs: Jobs, time: int, over: tuple[int, ...], done: int, task: int, spent: int
) -> tuple[int, tuple[int, ...]]:
    """When a task ends that takes `spent` with its way, and when each wait is over then.

    `done` holds the task itself. Waits that are over, or that nothing comes after any more, are 0.
    """
    begin = time + spent - jobs.minutes[task]
    for slot in jobs.needs[task]:
        begin = max(begin, over[slot])
    end = begin + jobs.minutes[task]
    own = jobs.slots[task]
    if own < 0 and not any(over):
        return end, over
    return end, tuple(
        end + jobs.wait[task] if slot == own else (until if until > end and jobs.heirs[slot] & ~done else 0)
        for slot, until in enumerate(over)
    )


def join(front: list[Way], new: Way) -> None:
    """Adds a way to those of its state, unless one of them is as good in everything; drops what it beats."""
    for old in front:
        if beats(old, new):
            return
    front[:] = [old for old in front if not beats(new, old)]
    front.append(new)


def beats(one: Way, other: Way) -> bool:
    """Whether whatever follows `other` could follow `one`, ending no later and no worse.

    While no wait runs, a lead stays a lead; else idle time may swallow it, and what counts at equal time
    still matters.
    """
    if one.time > other.time:
        return False
    running = False
    for mine, its in zip(one.over, other.over, strict=True):
        if mine > max(its, other.time):
            return False
        running = running or bool(mine or its)
    return one.tie <= other.tie or (one.time < other.time and not running)
