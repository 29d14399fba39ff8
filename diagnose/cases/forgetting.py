"""Cases taken out of a store for good, with their journals and with what they count; rounds likewise.

Imports SQLAlchemy: load this module late. In a file nothing of a forgotten case is left to be found: what
is deleted is overwritten (`secure_delete`), the file is built anew without the places where earlier
versions of its rows stood (`VACUUM`), and the write-ahead log is emptied. A server keeps what was deleted
until it clears up by itself; copies, and exports that were given away, are beyond reach (docs/store.md).
"""

from __future__ import annotations

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Connection, Row, Table, delete, func, select, tuple_

from diagnose.cases.engines import PATIENCE
from diagnose.cases.journal import Counted, change_of_sums, counted_answers
from diagnose.cases.records import Entry
from diagnose.cases.refusals import NoSuchCase
from diagnose.cases.rounds_records import RoundRecord
from diagnose.cases.rounds_store import forget_cases_of_rounds, forget_rounds, round_kept, rounds_kept
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import OVER, add_to_sums
from diagnose.cases.tables import SUMS, cases, entries, key_of_vehicle, rounds
from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.ids import nearest, quoted
from diagnose.terms import DiagnoseError, State

_AT_ONCE = 500
_MOST = 2**31 - 1
_OF_CASE = (
    cases.c.id,
    cases.c.symptom,
    cases.c.state,
    cases.c.opened,
    cases.c.vehicle,
    cases.c.confirmed,
    cases.c.cause,
    cases.c.lines,
    cases.c.source,
)

Traces = Literal["gone", "in-the-file", "on-the-server"]
"""Whether what was deleted can still be dug out: no; until the file is cleared up; until the server does."""


class NoSuchVehicle(DiagnoseError):
    """No case has this vehicle's label."""


@dataclass(frozen=True, slots=True)
class Going:
    """A case that is to be forgotten."""

    case: int
    symptom: str
    state: State
    opened: datetime
    vehicle: str
    confirmed: bool
    cause: str
    lines: int
    source: str | None


def cases_named(store: CaseStore, numbers: Sequence[int], vehicles: Sequence[str]) -> tuple[Going, ...]:
    """The cases of these numbers and all cases of these vehicles, by number, each once.

    A label counts in any capitals, also for cases that were brought in. Raises NoSuchCase, NoSuchVehicle.
    """
    found: dict[int, Going] = {}
    with store.reading() as connection:
        for some in _some_at_once(sorted(set(numbers))):
            here = [number for number in some if 0 < number <= _MOST]
            rows = connection.execute(select(*_OF_CASE).where(cases.c.id.in_(here)))
            found |= {row.id: Going(*row) for row in rows}
            for number in some:
                if number not in found:
                    raise NoSuchCase(number)
        for label in vehicles:
            rows = connection.execute(select(*_OF_CASE).where(cases.c.vehicle_key == key_of_vehicle(label)))
            those = {row.id: Going(*row) for row in rows}
            if not those and not _has_rounds(connection, label):
                raise NoSuchVehicle(_no_such_vehicle(connection, label))
            found |= those
    return tuple(found[number] for number in sorted(found))


def rounds_named(
    store: CaseStore, numbers: Sequence[int], vehicles: Sequence[str]
) -> tuple[RoundRecord, ...]:
    """The rounds of these numbers and all rounds of these vehicles, by number. Raises NoSuchRound."""
    found = {number: round_kept(store, number) for number in numbers}
    for label in vehicles:
        found |= {each.number: each for each in rounds_kept(store, vehicle=label)}
    return tuple(found[number] for number in sorted(found))


def forget(store: CaseStore, numbers: Iterable[int], of_rounds: Iterable[int] = ()) -> None:
    """Takes the cases out, with every line of their journals, and moves the sums: all of it, or nothing.

    Rounds `of_rounds` go in the same transaction; rounds that stay name no forgotten case any more. Raises
    NoSuchCase.
    """
    changes: tuple[Counter[Any], ...] = (Counter(), Counter(), Counter())
    with store.writing() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA secure_delete = ON")
        for some in _some_at_once(sorted(set(of_rounds))):
            forget_rounds(connection, some)
        for some in _some_at_once(sorted(set(numbers))):
            _take_out(connection, some, changes)
        # At the end and in one order over all cases, as everybody does who holds rows of the sums.
        for table, changed in zip(SUMS, changes, strict=True):
            add_to_sums(connection, table, {key: n for key, n in changed.items() if n})
        for table in SUMS:
            _drop_empty(connection, table)


def clear_traces(store: CaseStore) -> Traces:
    """Leaves nothing of what was deleted in the store's file; where that cannot be now, says so.

    Building the file anew takes as long as copying it, and as much room on the disk.
    """
    path = store.address.path
    if path is None:
        return "on-the-server"
    try:
        with closing(sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)) as connection:
            connection.execute("VACUUM")
            (busy, _, _) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.Error:
        return "in-the-file"
    return "in-the-file" if busy else "gone"


def _take_out(connection: Connection, numbers: Sequence[int], changes: Sequence[Counter[Any]]) -> None:
    """Deletes some cases and adds what that makes of the sums to `changes`."""
    held = select(cases).where(cases.c.id.in_(numbers)).order_by(cases.c.id).with_for_update()
    rows = {row.id: row for row in connection.execute(held)}
    for number in numbers:
        if number not in rows:
            raise NoSuchCase(number)
    journals: dict[int, list[Entry]] = defaultdict(list)
    lines = (
        select(entries).where(entries.c.case_id.in_(numbers)).order_by(entries.c.case_id, entries.c.number)
    )
    for line in connection.execute(lines):
        entry = Entry(line.time, line.kind, line.subject, line.answer, number=line.number)
        journals[line.case_id].append(entry)
    for number, row in rows.items():
        causes, answers = change_of_sums(_counted(row, journals[number]), None)
        changes[0].update(causes)
        changes[1].update(answers)
        if row.state in OVER and not row.confirmed:
            changes[2][row.symptom, row.opened.year, row.state] -= 1
    forget_cases_of_rounds(connection, numbers)
    connection.execute(delete(entries).where(entries.c.case_id.in_(numbers)))
    connection.execute(delete(cases).where(cases.c.id.in_(numbers)))


def _drop_empty(connection: Connection, table: Table) -> None:
    """Deletes sums that count nothing: that somebody once gave a rare answer can be read off them.

    On a server only those that nobody else holds now, for waiting out of order is how two wait for ever.
    """
    key = list(table.primary_key)
    empty = select(*key).where(table.c.origin == "", table.c.total == 0).with_for_update(skip_locked=True)
    connection.execute(delete(table).where(tuple_(*key).in_(empty)))


def _counted(row: Row[Any], journal: Sequence[Entry]) -> Counted | None:
    if not row.confirmed:
        return None
    answers = counted_answers(journal[: row.confirmed_lines])
    return Counted(row.symptom, row.cause, row.opened.year, row.state, answers)


def _has_rounds(connection: Connection, label: str) -> bool:
    wanted = select(rounds.c.id).where(rounds.c.vehicle_key == key_of_vehicle(label)).limit(1)
    return connection.scalar(wanted) is not None


def _no_such_vehicle(connection: Connection, label: str) -> str:
    known = {
        key_of_vehicle(name): name
        for (name,) in connection.execute(select(func.max(cases.c.vehicle)).group_by(cases.c.vehicle_key))
        if name
    }
    meant = nearest(key_of_vehicle(label), known)
    tail = (
        f" (did you mean {quoted(without_refused(known[meant]))}?)"
        if meant
        else "; `diagnose cases list` shows those there are"
    )
    return f"no case has the vehicle {quoted(without_refused(label))}{tail}"


def _some_at_once(numbers: Sequence[int]) -> list[Sequence[int]]:
    return [numbers[start : start + _AT_ONCE] for start in range(0, len(numbers), _AT_ONCE)]
