"""The open tasks of a round as bits and whole numbers, for whatever looks for an order of them.

A task begins once one has come to its place, all that it must come after is done, and the waits of those are
over. What one spends is time on a clock: hands-on minutes, the access minutes of a place whenever one comes
to it from another, and idle minutes where nothing else is done while a wait runs. A wait that nothing comes
after costs nothing here: nobody has to be there.

Times are whole numbers of 1e-12 minutes, so that equal sums are equal whatever the order of adding.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from graphlib import TopologicalSorter

from diagnose.terms import Place
from diagnose.terms.rounds import Task

UNIT = 10**12
"""Parts of a minute."""
START = "outside"
"""Where a round begins unless said otherwise."""


@dataclass(frozen=True, slots=True, eq=False)
class Jobs:
    """Open tasks by number, in the order of the round; sets of them are bit masks."""

    ids: tuple[str, ...]
    minutes: tuple[int, ...]
    wait: tuple[int, ...]
    at: tuple[int, ...]
    """The number of each one's place."""
    access: tuple[int, ...]
    """What it costs to come to each place."""
    before: tuple[int, ...]
    """Everything open that has to be done before, by whatever way it follows."""
    behind: tuple[int, ...]
    """Everything open that has to be done after."""
    here: int
    """The number of the place where one is; -1 is a place where nothing is to be done."""
    safety: int
    outdoors: int
    """Those that want something of the day or the weather."""
    slots: tuple[int, ...]
    """The slot of each one whose wait something comes after, else -1."""
    needs: tuple[tuple[int, ...], ...]
    """The slots that have to be over before each begins."""
    heirs: tuple[int, ...]
    """For each slot what comes after it."""
    running: tuple[int, ...]
    """When each slot's wait will be over, of waits that run already; 0 for the rest."""
    sums: tuple[tuple[int, ...], ...]
    """Hands-on time of every set of eight tasks in a row, so that any set's is a few additions."""

    @property
    def all(self) -> int:
        """Every open task."""
        return (1 << len(self.ids)) - 1

    def hands_on(self, tasks: int) -> int:
        """The time of a set of tasks without ways and waits."""
        return sum(table[tasks >> 8 * block & 255] for block, table in enumerate(self.sums))

    def mask(self, ids: Set[str]) -> int:
        """The set of those tasks."""
        return sum(1 << number for number, id in enumerate(self.ids) if id in ids)

    def named(self, order: Sequence[int]) -> tuple[str, ...]:
        """The ids of tasks given by their numbers."""
        return tuple(self.ids[number] for number in order)


def bits(mask: int) -> Iterator[int]:
    """The numbers in a set, rising."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def jobs_of(
    tasks: Mapping[str, Task],
    after: Mapping[str, Set[str]],
    places: Mapping[str, Place],
    done: Set[str],
    here: str = START,
    running: Mapping[str, float] | None = None,
    early: Set[str] = frozenset(),
) -> Jobs:
    """The tasks that are not done, as numbers.

    `after` may name tasks that are not among `tasks`: order goes through them. `running` are the minutes that
    waits of tasks done will still take; `early` are the wants for whose sake a task goes as early as it costs
    nothing. Raises graphlib.CycleError (a ValueError) for an order that nobody can keep.
    """
    ids = tuple(id for id in tasks if id not in done)
    above = all_before(after)
    before = tuple(sum(1 << n for n, id in enumerate(ids) if id in above.get(each, ())) for each in ids)
    behind = tuple(sum(1 << n for n in range(len(ids)) if before[n] >> at & 1) for at in range(len(ids)))
    numbers = {place: n for n, place in enumerate(dict.fromkeys(tasks[id].at for id in ids))}
    minutes = tuple(_units(tasks[id].minutes) for id in ids)
    still = {id: left for id, left in (running or {}).items() if id in done and left > 0}
    late = [sum(1 << n for n, id in enumerate(ids) if each in above.get(id, ())) for each in still]
    waiting = [n for n, id in enumerate(ids) if tasks[id].wait > 0 and behind[n]]
    heirs = (*(behind[n] for n in waiting), *late)
    return Jobs(
        ids=ids,
        minutes=minutes,
        wait=tuple(_units(tasks[id].wait) for id in ids),
        at=tuple(numbers[tasks[id].at] for id in ids),
        access=tuple(_units(places[place].access) for place in numbers),
        before=before,
        behind=behind,
        here=numbers.get(here, -1),
        safety=sum(1 << n for n, id in enumerate(ids) if tasks[id].safety),
        outdoors=sum(1 << n for n, id in enumerate(ids) if not early.isdisjoint(tasks[id].wants)),
        slots=tuple(waiting.index(n) if n in waiting else -1 for n in range(len(ids))),
        needs=tuple(tuple(s for s, heir in enumerate(heirs) if heir >> n & 1) for n in range(len(ids))),
        heirs=heirs,
        running=(*(0 for _ in waiting), *(_units(left) for left in still.values())),
        sums=tuple(_sums(minutes[block : block + 8]) for block in range(0, len(ids), 8)),
    )


def _units(minutes: float) -> int:
    return round(minutes * UNIT)


def _sums(minutes: Sequence[int]) -> tuple[int, ...]:
    sums = [0]
    for each in minutes:
        sums += [so_far + each for so_far in sums]
    return tuple(sums + [0] * (256 - len(sums)))


def all_before(after: Mapping[str, Set[str]]) -> dict[str, frozenset[str]]:
    """For each task everything that comes before it, by whatever way; raises graphlib.CycleError."""
    above: dict[str, frozenset[str]] = {}
    for id in TopologicalSorter(after).static_order():
        direct = after.get(id, frozenset())
        above[id] = frozenset(direct).union(*(above[each] for each in direct))
    return above
