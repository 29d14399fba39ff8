"""The confirmed cases of a store one after the other, in the order in which they became known.

Imports SQLAlchemy: load this module late. Cases come as a stream, some hundred at a time: a hundred thousand
take no more memory than a thousand. All functions read within one transaction, so that they tell of the store
at one moment.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, func, or_, select, true

from diagnose.cases.duplicates import Twice, counted_twice
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.sums import OVER
from diagnose.cases.tables import answer_sums, cause_sums, entries, merged, unconfirmed_sums
from diagnose.cases.tables import cases as kept
from diagnose.terms import State

AT_ONCE = 500
"""Cases whose journals are in memory at one time."""

_LINES = (
    entries.c.case_id,
    entries.c.time,
    entries.c.kind,
    entries.c.subject,
    entries.c.answer,
    entries.c.value,
    entries.c.uncertainty,
    entries.c.ahead,
    entries.c.number,
)
"""The columns in the order of the fields of `Entry`, the case in front."""


@dataclass(frozen=True, slots=True)
class ConfirmedCase:
    """A case whose cause is known; its record has the lines that stood at the confirmation, no later ones."""

    record: CaseRecord
    on: datetime
    """When it was confirmed, the last time if it was put right."""


@dataclass(frozen=True, slots=True)
class Over:
    """A case that is over, confirmed or not."""

    symptom: str
    ending: State
    opened: datetime


@dataclass(frozen=True, slots=True)
class FromElsewhere:
    """Sums that were merged from another store, counting from when they were received; or a correction.

    A correction takes away (totals below zero) what from then on would count twice (`duplicates`).
    """

    received: datetime
    causes: tuple[tuple[str, str, int, str, int], ...]
    """(symptom, cause, year, ending, total)"""
    answers: tuple[tuple[str, str, str, str, int, str, int], ...]
    """(symptom, cause, check, answer, year, ending, total)"""
    unconfirmed: tuple[tuple[str, int, str, int], ...]
    """(symptom, year, ending, total)"""


def confirmed_number(connection: Connection, symptoms: Sequence[str] = ()) -> int:
    """How many cases are confirmed, of some symptoms or of all."""
    wanted = select(func.count()).select_from(kept).where(kept.c.confirmed, _of(symptoms))
    return int(connection.scalar(wanted) or 0)


def confirmed_in_order(connection: Connection, symptoms: Sequence[str] = ()) -> Iterator[ConfirmedCase]:
    """Every confirmed case by the time of its confirmation; of one moment, the one opened first comes first.

    Cases that came in together (an import) are therefore in the order in which they happened.
    """
    wanted = (
        select(kept)
        .where(kept.c.confirmed, _of(symptoms))
        .order_by(kept.c.confirmed_on, kept.c.opened, kept.c.id)
    )
    rows = connection.execute(wanted, execution_options={"yield_per": AT_ONCE})
    for part in rows.partitions():
        lines = (
            select(*_LINES)
            .where(entries.c.case_id.in_([row.id for row in part]))
            .order_by(entries.c.case_id, entries.c.number)
        )
        journals = {
            case: tuple(Entry(*line[1:]) for line in group)
            for case, group in groupby(connection.execute(lines), key=lambda line: line[0])
        }
        for row in part:
            yield _confirmed(row, journals.get(row.id, ()))


def cases_over(connection: Connection, symptoms: Sequence[str] = ()) -> Iterator[Over]:
    """Every case that is over, by symptom and by when it was opened."""
    wanted = (
        select(kept.c.symptom, kept.c.state, kept.c.opened)
        .where(kept.c.state.in_(OVER), _of(symptoms))
        .order_by(kept.c.symptom, kept.c.opened)
    )
    for row in connection.execute(wanted, execution_options={"yield_per": 10 * AT_ONCE}):
        yield Over(row.symptom, row.state, row.opened)


def merged_sums(connection: Connection, symptoms: Sequence[str] = ()) -> tuple[FromElsewhere, ...]:
    """What stands in the sums from other stores, and what of some symptoms counts twice, each since when."""
    received = connection.execute(select(merged.c.origin, merged.c.received))
    found = [
        FromElsewhere(
            row.received,
            *(
                tuple(tuple(each) for each in connection.execute(_without_origin(table, row.origin)))
                for table in (cause_sums, answer_sums, unconfirmed_sums)
            ),
        )
        for row in received.all()
    ]
    for each in counted_twice(connection, symptoms):
        found += _corrections(each)
    return tuple(sorted(found, key=lambda sums: sums.received))


def _corrections(twice: Twice) -> Iterator[FromElsewhere]:
    """The case counts once among those that are over, and once it is told among those with a cause."""
    when = (twice.year, twice.ending)
    if twice.ending in OVER:
        yield FromElsewhere(twice.over_since, (), (), ((twice.symptom, *when, -1),))
    if twice.told_since is not None:
        # Not before it has been learned from: nothing ever counts less than no case.
        yield FromElsewhere(
            twice.told_since + timedelta.resolution,
            ((twice.symptom, twice.cause, *when, -1),),
            tuple((twice.symptom, twice.cause, *each, *when, -1) for each in twice.answers.items()),
            ((twice.symptom, *when, 1),),
        )


def _without_origin(table: Any, origin: str) -> Any:
    columns = [column for column in table.columns if column.name != "origin"]
    return select(*columns).where(or_(table.c.origin == origin, table.c.origin.startswith(f"{origin}/")))


def _of(symptoms: Sequence[str]) -> ColumnElement[bool]:
    return kept.c.symptom.in_(symptoms) if symptoms else true()


def _confirmed(row: Row[Any], journal: tuple[Entry, ...]) -> ConfirmedCase:
    record = CaseRecord(
        case=row.id,
        symptom=row.symptom,
        tree_digest=row.tree_digest,
        role=row.role,
        state=row.state,
        opened=row.opened,
        changed=row.changed,
        vehicle=row.vehicle,
        referral=row.referral,
        points_to=row.points_to,
        confirmed=True,
        cause=row.cause,
        asked_outcome=row.asked_outcome,
        source=row.source or "",
        source_case=row.source_case or "",
        entries=journal[: row.confirmed_lines],
    )
    return ConfirmedCase(record, row.confirmed_on)
