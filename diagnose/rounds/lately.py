"""For how long a round counts, and which of those that are not at their end are worth going on with."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from diagnose.cases.rounds_records import RoundHead
from diagnose.rounds.again import COUNTS_FOR

STOPPED_COUNTS_FOR = 183
"""Days for which a stopped one is told of (judgement); the stop itself ends with a clearance alone."""


def worth_going_on(
    rounds: Iterable[RoundHead], now: datetime, vehicle: str | None = None
) -> tuple[RoundHead, ...]:
    """Rounds that still count by when somebody last noted on them, the latest first; of a vehicle."""
    found = [
        each
        for each in rounds
        if each.stage != "ended"
        and now - each.changed <= timedelta(days=_days(each))
        and (vehicle is None or each.vehicle.casefold() == vehicle.casefold())
    ]
    return tuple(sorted(found, key=lambda each: (each.changed, each.number), reverse=True))


def _days(each: RoundHead) -> int:
    return STOPPED_COUNTS_FOR if each.stage == "stopped" else COUNTS_FOR[each.round]
