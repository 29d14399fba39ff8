"""Whether danger on a round still stops a vehicle, for the next round and the next walk."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from diagnose.cases.records import CaseRecord
from diagnose.cases.rounds_records import RoundLine, RoundRecord


def stopped_by_round(rounds: Iterable[RoundRecord], cases: Iterable[CaseRecord]) -> str | None:
    """The referral of the latest danger on these rounds, unless somebody said later that it was cleared.

    `rounds` and `cases` are those of one vehicle; a clearance counts on whichever of them it was told.
    """
    kept = tuple(rounds)
    all_cases = tuple(cases)
    standing = [line for each in kept if (line := _standing(each, kept, all_cases)) is not None]
    return max(standing, key=lambda line: line.time).answer or "workshop" if standing else None


def _standing(
    record: RoundRecord, rounds: Iterable[RoundRecord], cases: Iterable[CaseRecord]
) -> RoundLine | None:
    """The danger of a round that nobody has cleared since.

    A clearance on the round itself comes after it by its line too, since clocks may be put back between.
    """
    danger: RoundLine | None = None
    for line in record.lines:
        if line.noted == "danger":
            danger = line
        elif danger and line.noted == "cleared" and line.answer == "yes" and line.time > danger.time:
            danger = None
    if danger is None:
        return None
    elsewhere = _clearances((each for each in rounds if each.number != record.number), cases)
    return None if any(time > danger.time for time in elsewhere) else danger


def cleared_on_a_round(rounds: Iterable[RoundRecord], since: datetime) -> bool:
    """Whether it was said on one of these rounds, after that time, that the vehicle was cleared."""
    return any(time > since for time in _clearances(rounds, ()))


def _clearances(rounds: Iterable[RoundRecord], cases: Iterable[CaseRecord]) -> Iterable[datetime]:
    for each in rounds:
        yield from (line.time for line in each.lines if line.noted == "cleared" and line.answer == "yes")
    for case in cases:
        yield from (line.time for line in case.entries if line.kind == "cleared" and line.answer == "yes")
