"""Past cases taken for another cause than they are confirmed as, before anybody confirms them anew.

A case that the tree did not list is what a new cause is made from. Held against the extended tree as *not
listed*, it would speak against the very change that explains it; so it is taken for the new cause, in the
sums as in the comparison. The store is not touched.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from diagnose.cases.journal import counted_answers
from diagnose.cases.records import CaseRecord
from diagnose.terms import Tally

TakenFor = Mapping[int, str]
"""Number of a case -> the cause that it is taken for."""
NOBODY: TakenFor = {}
Key = TypeVar("Key")


def sums_with(tally: Tally, taken: Sequence[tuple[CaseRecord, str]], counts: Callable[[int], float]) -> Tally:
    """The sums with those cases moved; `counts` is what a case of a year counts."""
    for record, cause in taken:
        if record.confirmed and record.cause != cause:
            tally = _moved(tally, record, cause, counts(record.opened.year))
    return tally


def _moved(tally: Tally, record: CaseRecord, cause: str, count: float) -> Tally:
    found = tuple(counted_answers(record.entries).items())
    endings = dict(tally.endings)
    if record.state in endings:
        own = endings[record.state]
        endings[record.state] = replace(
            own,
            causes=_causes(own.causes, record.cause, cause, count),
            answers=_answers(own.answers, record.cause, cause, found, count),
        )
    return Tally(
        _causes(tally.causes, record.cause, cause, count),
        _answers(tally.answers, record.cause, cause, found, count),
        endings,
    )


def _causes(sums: Mapping[str, float], old: str, new: str, count: float) -> dict[str, float]:
    moved = min(count, sums.get(old, 0.0))
    return _kept({**sums, old: sums.get(old, 0.0) - moved, new: sums.get(new, 0.0) + moved})


def _answers(
    sums: Mapping[tuple[str, str, str], float],
    old: str,
    new: str,
    found: tuple[tuple[str, str], ...],
    count: float,
) -> dict[tuple[str, str, str], float]:
    after = dict(sums)
    for check, answer in found:
        # What was found after the confirmation is not in the sums, and moves nothing.
        moved = min(count, after.get((old, check, answer), 0.0))
        after[old, check, answer] = after.get((old, check, answer), 0.0) - moved
        after[new, check, answer] = after.get((new, check, answer), 0.0) + moved
    return _kept(after)


def _kept(sums: dict[Key, float]) -> dict[Key, float]:
    return {key: count for key, count in sums.items() if count > 0}
