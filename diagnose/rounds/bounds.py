"""What the rest of a round takes at the very least, whatever its order.

Four bounds, each proved by leaving something out; the largest counts:

- *Ways.* Every open task takes its minutes, and every place has to be come to as often as some chain of the
  order forces: of tasks that must follow one another, those at one place with one elsewhere between them need
  a visit each. Chains of different places may be different ones, since each counts its own place's visits.
- *A wait that runs.* All that comes after it is still to be done once it is over.
- *A wait to come.* First what its task must come after, then the task, then the wait, then what comes after.
- *A chain.* Tasks that must follow one another take their minutes and the waits between them.

A bound for some of the tasks alone (`target`) holds too: what is done besides only takes longer.
"""

from __future__ import annotations

from diagnose.rounds.jobs import Jobs, bits


class Rest:
    """Bounds for the rest of a round, remembered by what is done and where one is."""

    def __init__(self, jobs: Jobs, target: int | None = None) -> None:
        self._jobs = jobs
        self._target = jobs.all if target is None else target
        self._levels, self._staying = _levels(jobs, self._target)
        self._waits = [(1 << n) for n, slot in enumerate(jobs.slots) if slot >= 0]
        chains = _chains(jobs, self._target)
        self._chains = chains if self._waits else []
        self._chains_behind = [[each for each in chains if each[1] & heirs] for heirs in jobs.heirs]
        self._known: dict[tuple[int, int], int] = {}
        self._behind: dict[tuple[int, int], int] = {}

    def fixed(self, done: int, place: int) -> int:
        """The least time still to be spent, but for waits that run."""
        known = self._known.get((done, place))
        if known is None:
            known = self._known[done, place] = self._computed(done, place)
        return known

    def running(self, done: int, over: tuple[int, ...]) -> int:
        """The least time on the clock at the end, for waits that are over at given times."""
        heirs, open_ones = self._jobs.heirs, self._target & ~done
        least = 0
        for slot, time in enumerate(over):
            if time:
                left = heirs[slot] & open_ones
                behind = self._behind.get((slot, left))
                if behind is None:
                    chain = _longest(self._chains_behind[slot], left)
                    behind = self._behind[slot, left] = max(self._jobs.hands_on(left), chain)
                if left and time + behind > least:
                    least = time + behind
        return least

    def busy(self, done: int, place: int) -> int:
        """The least time still to be spent with hands or on ways, idle time left out."""
        left = self._target & ~done
        ways = 0
        for at, levels in enumerate(self._levels):
            visits = 0
            for tasks in self._staying[at] if at == place else levels:
                if not left & tasks:
                    break
                visits += 1
            ways += visits * self._jobs.access[at]
        return self._jobs.hands_on(left) + ways

    def _computed(self, done: int, place: int) -> int:
        jobs = self._jobs
        left = self._target & ~done
        least = max(self.busy(done, place), _longest(self._chains, left))
        for waiting in self._waits:
            n = waiting.bit_length() - 1
            if left & waiting and left & jobs.behind[n]:
                chain = jobs.hands_on(left & (jobs.before[n] | jobs.behind[n] | waiting))
                least = max(least, chain + jobs.wait[n])
        return least


def _levels(jobs: Jobs, target: int) -> tuple[list[list[int]], list[list[int]]]:
    """For each place the tasks that force one visit, two visits ...; and the same while one is there."""
    levels: list[list[int]] = []
    staying: list[list[int]] = []
    later_first = sorted(range(len(jobs.ids)), key=lambda n: jobs.behind[n].bit_count())
    for place in range(len(jobs.access)):
        forced = [0] * len(jobs.ids)
        for n in later_first:
            behind = list(bits(jobs.behind[n] & target))
            if jobs.at[n] == place and target >> n & 1:
                forced[n] = max((forced[m] + (jobs.at[m] != place) for m in behind), default=1)
                forced[n] = max(forced[n], 1)
            elif target >> n & 1:
                forced[n] = max((forced[m] for m in behind), default=0)
        own = [forced[n] - (jobs.at[n] == place) for n in range(len(jobs.ids))]
        levels.append(_by_visits(forced))
        staying.append(_by_visits(own))
    return levels, staying


def _by_visits(forced: list[int]) -> list[int]:
    return [
        sum(1 << n for n, visits in enumerate(forced) if visits >= level)
        for level in range(1, max(forced, default=0) + 1)
    ]


def _chains(jobs: Jobs, target: int) -> list[tuple[int, int]]:
    """The time of the longest chain from each task on and the task as a bit, the longest first."""
    longest: dict[int, int] = {}
    for n in sorted(bits(target), key=lambda n: jobs.behind[n].bit_count()):
        onward = max((longest[m] for m in bits(jobs.behind[n] & target)), default=-jobs.wait[n])
        longest[n] = jobs.minutes[n] + jobs.wait[n] + onward
    return sorted(((time, 1 << n) for n, time in longest.items()), reverse=True)


def _longest(chains: list[tuple[int, int]], left: int) -> int:
    """The longest chain that begins with a task still to be done."""
    return next((time for time, task in chains if left & task), 0)
