"""A case of somebody else's that comes to this store, such as by its code: confirmed already, or not yet.

Imports SQLAlchemy: load this module late. The same case of the same source counts once: its number there and
the source are unique together, whoever brings it and however often.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select
from sqlalchemy.dialects import postgresql, sqlite

from diagnose.cases.journal import Counted, counted_answers
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import move_sums, move_unconfirmed
from diagnose.cases.tables import cases, entries, key_of_vehicle


def arrived(store: CaseStore, source: str, source_case: str) -> CaseRecord | None:
    """The case that this store has of somebody else's, by its number there; None if it has not come yet."""
    wanted = select(cases.c.id).where(cases.c.source == source, cases.c.source_case == source_case)
    with store.reading() as connection:
        number = connection.scalar(wanted)
    return None if number is None else store.case(number)


def take_in(store: CaseStore, case: CaseRecord, cause: str, now: datetime) -> CaseRecord:
    """Opens a case of somebody else's, confirmed with its cause, and counts it; returns it as it is kept.

    `case` has a source, a number there and its journal; its own number is given here. All of it is one
    transaction. One that has come before is confirmed with this cause instead, which moves the sums if it is
    another than before. Without a cause it is kept unconfirmed, and one that has come before stays as it is.
    Raises ValueError for a case without a source.
    """
    if not (case.source and case.source_case):
        raise ValueError("a case of somebody else's has a source and a number there")
    lines = tuple(replace(line, number=number) for number, line in enumerate(case.entries, 1))
    with store.writing() as connection:
        number = _inserted(connection, case, cause, len(lines), now)
        if number is not None:
            _write_journal(connection, number, lines)
            _count(connection, case, cause, lines)
    if number is not None:
        return store.case(number)
    before = arrived(store, case.source, case.source_case)
    assert before is not None, "it was there a moment ago, and no case is ever taken away"
    return store.confirm(before.case, cause, now) if cause else before


def _count(connection: Connection, case: CaseRecord, cause: str, lines: tuple[Entry, ...]) -> None:
    if cause:
        counted = Counted(case.symptom, cause, case.opened.year, case.state, counted_answers(lines))
        move_sums(connection, None, counted)
        return
    ended = {"symptom": case.symptom, "opened": case.opened, "state": case.state, "confirmed": False}
    move_unconfirmed(connection, ended | {"state": "open"}, ended)


def _inserted(connection: Connection, case: CaseRecord, cause: str, lines: int, now: datetime) -> int | None:
    """The number of the new row; None where the source's case is here already."""
    values: dict[str, Any] = {column.name: getattr(case, column.name, None) for column in cases.columns}
    del values["id"]
    values |= {"vehicle_key": key_of_vehicle(case.vehicle), "changed": now, "asked_outcome": bool(cause)}
    values |= {"confirmed": bool(cause), "cause": cause, "confirmed_on": now if cause else None}
    values |= {"lines": lines, "confirmed_lines": lines if cause else 0}
    insert = postgresql.insert(cases) if connection.dialect.name == "postgresql" else sqlite.insert(cases)
    unless_here = insert.on_conflict_do_nothing(index_elements=["source", "source_case"])
    made = connection.scalar(unless_here.values(values).returning(cases.c.id))
    return None if made is None else int(made)


def _write_journal(connection: Connection, case: int, lines: tuple[Entry, ...]) -> None:
    columns = [column.name for column in entries.columns if column.name != "case_id"]
    rows = [{"case_id": case} | {name: getattr(line, name) for name in columns} for line in lines]
    if rows:
        connection.execute(entries.insert(), rows)
