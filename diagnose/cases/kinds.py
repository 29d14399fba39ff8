"""Whether every value in a SQLite store is of the kind, or one of the words, that its column always gets.

SQLite keeps whatever it is given, and one bit that has changed on the disk turns text into bytes without
its own checks seeing it (sqlite.org/fileformat2.html section 2.1: a text's and a blob's serial types are
neighbours). So this is asked of the values themselves.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import get_args

from sqlalchemy import Boolean, Column, Double, Integer, Table

from diagnose.cases.records import EntryKind
from diagnose.cases.rounds_records import Noted, Stage
from diagnose.cases.stamp import reading_uri
from diagnose.cases.tables import Moment, metadata
from diagnose.terms import Role, State

_WORDS: Mapping[str, tuple[str, ...]] = {
    "state": get_args(State),
    "ending": get_args(State),
    "role": get_args(Role),
    "kind": get_args(EntryKind),
    "stage": get_args(Stage),
    "noted": get_args(Noted),
}
"""The columns that hold one of a few words, the same in every table."""

_MOMENT = "0000-00-00T00:00:00.000000Z".replace("0", "[0-9]")
"""What every moment looks like (SQLite's GLOB)."""


def of_wrong_kind(connection: sqlite3.Connection) -> Iterator[str]:
    """A line for each table that holds rows with such values, in a store of this version.

    Goes once through every table, as SQLite's own check does.
    """
    for table in metadata.sorted_tables:
        wrong = " OR ".join(f"({_is_wrong(column)})" for column in table.columns)
        (number,) = connection.execute(_counting(table, wrong)).fetchone()
        if number:
            yield f"{number} {'row' if number == 1 else 'rows'} of {table.name} hold values of a wrong kind"


def is_scrambled(path: Path) -> bool:
    """Whether a store holds such values, or SQLite finds it damaged; False where that cannot be told."""
    try:
        with closing(sqlite3.connect(reading_uri(path), uri=True)) as connection:
            (verdict,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
            return verdict != "ok" or any(of_wrong_kind(connection))
    except sqlite3.Error as error:
        return getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_CORRUPT


def _counting(table: Table, wrong: str) -> str:
    # Names of our own tables and columns, no text of anybody's.
    return f"SELECT count(*) FROM {table.name} WHERE {wrong}"  # noqa: S608


def _is_wrong(column: Column[object]) -> str:
    if column.name in _WORDS:
        words = ", ".join(f"'{word}'" for word in _WORDS[column.name])
        return f"{column.name} NOT IN ({words})"
    kinds = ["text"]
    if isinstance(column.type, Moment):
        wrong = f"{column.name} NOT GLOB '{_MOMENT}'"
        return f"{column.name} IS NOT NULL AND {wrong}" if column.nullable else wrong
    if isinstance(column.type, Integer | Boolean):
        kinds = ["integer"]
    elif isinstance(column.type, Double):
        kinds = ["real", "integer"]
    wrong = " AND ".join(f"typeof({column.name}) <> '{kind}'" for kind in kinds)
    return f"{column.name} IS NOT NULL AND {wrong}" if column.nullable else wrong
