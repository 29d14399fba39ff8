"""Whether danger on a round still stops a vehicle, for the next round and the next walk."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from diagnose.cases.records import CaseRecord
from diagnose.cases.rounds_records import RoundRecord


def stopped_by_round(rounds: Iterable[RoundRecord], cases: Iterable[CaseRecord]) -> str | None:
    """The referral of the latest danger on these rounds, unless somebody said later that it was cleared.

    `rounds` and `cases` are those of one vehicle; a clearance counts on whichever of them it was told.
    """
    kept = tuple(rounds)
    dangers = [line for each in kept for line in each.lines if line.noted == "danger"]
    if not dangers:
        return None
    latest = max(dangers, key=lambda line: line.time)
    return (
        None if any(time > latest.time for time in _clearances(kept, cases)) else latest.answer or "workshop"
    )


def cleared_on_a_round(rounds: Iterable[RoundRecord], since: datetime) -> bool:
    """Whether it was said on one of these rounds, after that time, that the vehicle was cleared."""
    return any(time > since for time in _clearances(rounds, ()))


def _clearances(rounds: Iterable[RoundRecord], cases: Iterable[CaseRecord]) -> Iterable[datetime]:
    for each in rounds:
        yield from (line.time for line in each.lines if line.noted == "cleared" and line.answer == "yes")
    for case in cases:
        yield from (line.time for line in case.entries if line.kind == "cleared" and line.answer == "yes")
