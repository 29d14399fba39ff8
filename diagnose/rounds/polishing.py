"""Orders of a round made better by moving their parts, for rounds too long to be searched through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.rounds.jobs import Jobs

LONGEST_PART = 8
"""Tasks that are moved together."""
MOST_PASSES = 6
MOST_TRIED = 6_000
"""Orders that are timed at most: a count, so that every machine finds the same."""


def time_of(jobs: Jobs, order: Sequence[int]) -> int:
    """The time on the clock when the last task of an order is done."""
    time, place, over = 0, jobs.here, list(jobs.running)
    for task in order:
        to = jobs.at[task]
        if to != place:
            time += jobs.access[to]
            place = to
        for slot in jobs.needs[task]:
            if over[slot] > time:
                time = over[slot]
        time += jobs.minutes[task]
        if jobs.slots[task] >= 0:
            over[jobs.slots[task]] = time + jobs.wait[task]
    return time


def polished(jobs: Jobs, order: list[int]) -> list[int]:
    """An order that is no longer than the given one: parts of it are moved while that saves time."""
    best, time = order, time_of(jobs, order)
    tried = 0
    for _ in range(MOST_PASSES):
        before = time
        length = 1
        while length <= min(LONGEST_PART, len(order) - 1):
            better = None
            for moved in _moves(jobs, best, length):
                tried += 1
                new = time_of(jobs, moved)
                if new < time:
                    better, time = moved, new
                    break
                if tried >= MOST_TRIED:
                    return best
            if better is None:
                length += 1
            else:
                best = better
        if time == before:
            break
    return best


def _moves(jobs: Jobs, order: list[int], length: int) -> Iterator[list[int]]:
    """Every order that has `length` tasks in a row moved elsewhere, and is allowed."""
    for start in range(len(order) - length + 1):
        part = order[start : start + length]
        above = below = 0
        for task in part:
            above |= jobs.before[task]
            below |= jobs.behind[task]
        for to in range(start - 1, -1, -1):
            if above >> order[to] & 1:
                break
            yield [*order[:to], *part, *order[to:start], *order[start + length :]]
        for to in range(start + length, len(order)):
            if below >> order[to] & 1:
                break
            yield [*order[:start], *order[start + length : to + 1], *part, *order[to + 1 :]]
