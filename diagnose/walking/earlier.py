"""What earlier walks of a vehicle mean for a new one: a stop to be cleared, and tries that are used up.

A vehicle is known by the label that somebody gave it; cases without a label are taken to be of one vehicle,
which asks one question too many rather than one too few.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime

from diagnose.cases.records import CaseRecord
from diagnose.terms import Tree
from diagnose.walking.past import STEPS, TRIES_ARE_KEPT, is_start, read_past
from diagnose.walking.stops import stop_referrals

TreeOf = Callable[[str], Tree | None]


def stopped_by(
    records: Iterable[CaseRecord],
    vehicle: str,
    tree_of: TreeOf = lambda _: None,
    cleared: Callable[[datetime], bool] = lambda _: False,
) -> str | None:
    """The referral by which the vehicle's last walk was stopped and not cleared since; None if it was not.

    `records` come in the order of their last lines, the latest first, and no more of them are taken than are
    needed: a walk that was left off and taken up again may be stopped after a newer one was walked. A case
    that broke off just as it was being stopped is known by its journal, for which `tree_of` gives the tree of
    a symptom. A case in which nobody was asked a thing (only the card's facts stand there, or it was logged
    when it was over) says nothing about an older stop. `cleared` tells whether it was said elsewhere after a
    time, such as on a round, that somebody qualified has cleared the vehicle.
    """
    settled: list[datetime] = []
    for record in records:
        if not _same(record.vehicle, vehicle):
            continue
        if any(record.changed < time for time in settled):
            return None
        stopped = _stop_of(record, tree_of)
        if stopped is not None:
            return None if cleared(record.changed) else stopped
        settled += _settled_before(record)
    return None


def _stop_of(record: CaseRecord, tree_of: TreeOf) -> str | None:
    if record.state == "stopped":
        return record.referral or "workshop"
    tree = tree_of(record.symptom) if record.state == "open" else None
    stopped = stop_referrals(read_past(tree, record.entries)) if tree is not None else ()
    return stopped[0] if stopped else None


def starts_within_a_day(
    records: Iterable[CaseRecord], tree: Tree, vehicle: str, now: datetime, apart_from: int | None = None
) -> int:
    """How often the appliance was started within the last day in other cases of this symptom and vehicle."""
    return sum(
        is_start(tree, line) and now - line.time <= TRIES_ARE_KEPT
        for record in records
        if record.symptom == tree.id and record.case != apart_from and _same(record.vehicle, vehicle)
        for line in record.entries
    )


def _settled_before(record: CaseRecord) -> Iterator[datetime]:
    """Moments before which no stop counts any more, by one case.

    No walk begins on a stopped vehicle before it was cleared; one that was begun already shows nothing.
    """
    if any(line.kind in STEPS and not line.ahead for line in record.entries):
        yield record.opened
    yield from (line.time for line in record.entries if line.kind == "cleared" and line.answer == "yes")


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()
