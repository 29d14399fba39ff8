"""A store checked: the sums counted anew from the cases, and what the database says of its own tables.

Imports SQLAlchemy: load this module late. Cases and journals come as a stream, so a store of a million
takes no more memory than a small one, and the time of reading each line once. What is held in memory is the
sums.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import (
    Connection,
    Integer,
    Row,
    Select,
    String,
    and_,
    cast,
    false,
    func,
    literal_column,
    select,
    type_coerce,
)

from diagnose.cases import refusals
from diagnose.cases.exchange import COLUMNS, TABLES
from diagnose.cases.journal import counted_answers
from diagnose.cases.kinds import of_wrong_kind
from diagnose.cases.records import Entry
from diagnose.cases.stamp import reading_uri
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import OVER, add_to_sums
from diagnose.cases.tables import SUMS, cases, entries
from diagnose.terms import NOT_SURE

Counts = Mapping[tuple[Any, ...], int]

_NO_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""Which answers count does not depend on when they were given."""
_AT_ONCE = 5000
"""Rows of the stream that are fetched at a time."""
_YEAR = cast(
    func.substr(type_coerce(cases.c.opened, String), literal_column("1"), literal_column("4")), Integer
)
"""The year of opening, in UTC as the moment is."""
_CONFIRMED = func.coalesce(cases.c.confirmed, false())
"""Put so that no index is used: the journals come in the order of the cases, which then needs no sorting."""


@dataclass(frozen=True, slots=True, order=True)
class Difference:
    """A sum that is not what the cases come to."""

    table: str
    """`causes`, `answers` or `unconfirmed`."""
    key: tuple[Any, ...]
    """What it counts: the columns of `exchange.COLUMNS` but the total."""
    kept: int
    counted: int

    def named(self) -> dict[str, Any]:
        """The key with the names of its columns."""
        return dict(zip(COLUMNS[self.table], self.key, strict=False))


def differences(connection: Connection) -> tuple[Difference, ...]:
    """Every sum of this store's own cases that differs from what they come to, in order."""
    found = []
    for name, counted in recounted(connection).items():
        kept = _kept(connection, name)
        for key in sorted(counted.keys() | kept.keys()):
            if kept.get(key, 0) != counted.get(key, 0):
                found.append(Difference(name, key, kept.get(key, 0), counted.get(key, 0)))
    return tuple(found)


def mend(store: CaseStore) -> tuple[Difference, ...]:
    """Sets every sum to what the cases come to, in one transaction; returns what differed.

    Counts anew with all other writers kept waiting, so nothing that happens meanwhile is lost.
    """
    with store.writing() as connection:
        if connection.dialect.name == "postgresql":
            # Whoever changes a case begins by locking its row, and waits here before anything else is held.
            connection.exec_driver_sql(f"LOCK TABLE {cases.name} IN EXCLUSIVE MODE")
        found = differences(connection)
        for name, table in zip(TABLES, SUMS, strict=True):
            changes = {each.key: each.counted - each.kept for each in found if each.table == name}
            add_to_sums(connection, table, changes)
    return found


def recounted(connection: Connection) -> dict[str, Counts]:
    """What the three tables have to hold, counted from the cases alone."""
    symptom, cause, ending = cases.c.symptom, cases.c.cause, cases.c.state
    causes = select(symptom, cause, _YEAR, ending, func.count()).where(_CONFIRMED)
    untold = select(symptom, _YEAR, ending, func.count()).where(~_CONFIRMED, ending.in_(OVER))
    return {
        "causes": _counted(connection, causes.group_by(symptom, cause, _YEAR, ending)),
        "answers": _answers(connection),
        "unconfirmed": _counted(connection, untold.group_by(symptom, _YEAR, ending)),
    }


def integrity(store: CaseStore, most: int = 20) -> tuple[str, ...]:
    """What SQLite's own checks of the file say, and values of a wrong kind; at most so many lines.

    The checks go through pages, indexes and references (sqlite.org/pragma.html, integrity_check,
    foreign_key_check). A server keeps references by itself and has tools of its own for the rest, so
    nothing is asked there.
    """
    path = store.address.path
    if path is None:
        return ()
    try:
        with closing(sqlite3.connect(reading_uri(path), uri=True)) as connection:
            said = [str(line) for (line,) in connection.execute(f"PRAGMA integrity_check({most:d})")]
            strays = connection.execute("PRAGMA foreign_key_check").fetchmany(most)
            kinds = list(of_wrong_kind(connection))
    except sqlite3.Error as error:
        refusal = refusals.by_sqlite(store.address.shown, error)
        if refusal is None:
            raise
        raise refusal from error
    told = [line for line in said if line != "ok"] + kinds
    told += [f"row {row} of {table} belongs to no row of {parent}" for table, row, parent, _ in strays]
    return tuple(told[:most])


def journals_of_wrong_length(connection: Connection, most: int = 20) -> tuple[tuple[int, int, int], ...]:
    """(case, lines that it should have, lines that there are) where the two differ, at most so many."""
    there = select(entries.c.case_id, func.count().label("there")).group_by(entries.c.case_id).subquery()
    lines = func.coalesce(there.c.there, 0)
    wanted = (
        select(cases.c.id, cases.c.lines, lines)
        .select_from(cases.outerjoin(there, there.c.case_id == cases.c.id))
        .where(cases.c.lines != lines)
        .order_by(cases.c.id)
        .limit(most)
    )
    return tuple((int(case), int(told), int(n)) for case, told, n in connection.execute(wanted))


def _kept(connection: Connection, name: str) -> Counts:
    table = SUMS[TABLES.index(name)]
    columns = [column for column in table.columns if column.name != "origin"]
    return _counted(connection, select(*columns).where(table.c.origin == ""))


def _counted(connection: Connection, wanted: Select[Any]) -> Counts:
    return {tuple(key): int(total) for *key, total in connection.execute(wanted)}


def _answers(connection: Connection) -> Counts:
    of_case = (cases.c.id, cases.c.symptom, cases.c.cause, _YEAR, cases.c.state)
    of_line = (entries.c.number, entries.c.kind, entries.c.subject, entries.c.answer)
    stood = and_(
        entries.c.case_id == cases.c.id,
        entries.c.number <= cases.c.confirmed_lines,
        # Of the lines, these alone decide which answers count (`journal.counted_answers`).
        entries.c.kind.in_(("finding", "back", "dropped")),
    )
    wanted = (
        select(*of_case, *of_line)
        .select_from(cases.join(entries, stood))
        .where(_CONFIRMED)
        .order_by(cases.c.id, entries.c.number)
    )
    counts: Counter[tuple[Any, ...]] = Counter()
    for (_, symptom, cause, year, ending), lines in groupby(
        _stream(connection, wanted), itemgetter(slice(5))
    ):
        for check, answer in _standing_answers([line[5:] for line in lines]).items():
            counts[symptom, cause, check, answer, year, ending] += 1
    return counts


def _stream(connection: Connection, wanted: Select[Any]) -> Iterator[Row[Any]]:
    rows = connection.execute(wanted, execution_options={"yield_per": _AT_ONCE})
    for part in rows.partitions():
        yield from part


def _standing_answers(lines: Sequence[Any]) -> dict[str, str]:
    """Check -> answer, as `counted_answers` has it; a journal of findings alone needs no looking back.

    Each line is its number, kind, subject and answer.
    """
    if any(kind != "finding" for _, kind, _, _ in lines):
        return counted_answers([Entry(_NO_TIME, kind, of, answer, number=n) for n, kind, of, answer in lines])
    latest = {check: answer for _, _, check, answer in lines}
    return {check: answer for check, answer in latest.items() if answer is not None and answer != NOT_SURE}
