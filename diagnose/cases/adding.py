"""A case whose cause is known already and that nobody walked: written and counted in one transaction.

Imports SQLAlchemy: load this module late.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from diagnose.cases.journal import Counted, counted_answers
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import move_sums
from diagnose.cases.tables import cases, entries, key_of_vehicle
from diagnose.terms import Finding, State


@dataclass(frozen=True, slots=True)
class KnownCase:
    """What is written down of such a case."""

    symptom: str
    tree_digest: str
    cause: str
    """A cut set's id or `not-listed`."""
    state: State
    opened: datetime
    """In the zone whose day is meant."""
    vehicle: str = ""
    findings: Sequence[Finding] = ()


def add_known(store: CaseStore, known: KnownCase, now: datetime) -> int:
    """Writes the case down as a technician's, confirmed now, and counts it once; returns its number."""
    opened = known.opened.astimezone(UTC)
    lines = [
        Entry(opened, "finding", each.check, each.answer, each.value, each.uncertainty, True, number)
        for number, each in enumerate(known.findings, 1)
    ]
    record = CaseRecord(
        0, known.symptom, known.tree_digest, "technician", known.state, opened, now, known.vehicle,
        confirmed=True, cause=known.cause, asked_outcome=True,
    )  # fmt: skip
    values = {column.name: getattr(record, column.name, None) for column in cases.columns}
    del values["id"]
    values |= {"vehicle_key": key_of_vehicle(known.vehicle), "confirmed_on": now}
    values |= {"lines": len(lines), "confirmed_lines": len(lines), "source": None, "source_case": None}
    counted = Counted(known.symptom, known.cause, opened.year, known.state, counted_answers(lines))
    with store.writing() as connection:
        made = connection.execute(cases.insert().values(values)).inserted_primary_key
        assert made is not None
        number = int(made[0])
        columns = [column.name for column in entries.columns if column.name != "case_id"]
        rows = [{"case_id": number} | {name: getattr(line, name) for name in columns} for line in lines]
        if rows:
            connection.execute(entries.insert(), rows)
        move_sums(connection, None, counted)
    return number


def already_there(store: CaseStore, known: KnownCase) -> int | None:
    """A confirmed case of the same vehicle, symptom, cause and day, which this may be once more.

    None where there is none, or where the vehicle has no label and so cannot be known again.
    """
    if not known.vehicle.strip():
        return None
    day = known.opened.replace(hour=0, minute=0, second=0, microsecond=0)
    found = store.cases(
        symptom=known.symptom,
        cause=known.cause,
        confirmed=True,
        vehicle=known.vehicle,
        opened_from=day,
        opened_before=day + timedelta(days=1),
        limit=1,
    )
    return found[0].case if found else None
