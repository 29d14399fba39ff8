"""Many rows at once into SQLite, by its own driver; a transaction that writes is alone there."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from typing import Any

_CACHE = 100_000
"""KiB of pages in memory while many rows are written; SQLite's own 2,000 would have each row go to disk."""


class SqliteDriver:
    """What `bulk` asks of a database."""

    def __init__(self, raw: sqlite3.Connection) -> None:
        self._raw = raw
        self._next: int | None = None

    def lock(self) -> None:
        """Nothing has to be locked: the store's writing transactions exclude each other.

        The indexes are filled in no order of theirs, so as much of them as possible stays in memory.
        """
        self._raw.execute(f"PRAGMA cache_size = -{_CACHE}")

    def unlock(self) -> None:
        """Gives the memory back."""
        self._raw.execute("PRAGMA cache_size = -2000")

    def has_any(self, source: str) -> bool:
        """Whether a case of this source is there."""
        found = self._raw.execute("SELECT EXISTS (SELECT 1 FROM cases WHERE source = ?)", (source,))
        return bool(found.fetchone()[0])

    def kept(self, source: str, numbers: Sequence[str]) -> list[tuple[Any, ...]]:
        """(number, id, symptom, opened, vehicle, confirmed, cause), each found by the index."""
        return self._raw.execute(
            "SELECT source_case, id, symptom, opened, vehicle, confirmed, cause FROM cases"
            " WHERE source = ? AND source_case IN (SELECT value FROM json_each(?))",
            (source, json.dumps(list(numbers))),
        ).fetchall()

    def kept_answers(self, ids: Sequence[int]) -> list[tuple[int, str, str]]:
        """(case, check, answer) of findings."""
        return self._raw.execute(
            "SELECT case_id, subject, answer FROM entries"
            " WHERE kind = 'finding' AND case_id IN (SELECT value FROM json_each(?))",
            (json.dumps(list(ids)),),
        ).fetchall()

    def new_ids(self, number: int) -> Sequence[int]:
        """The next numbers after the highest that was ever given."""
        if self._next is None:
            found = self._raw.execute("SELECT seq FROM sqlite_sequence WHERE name = 'cases'").fetchone()
            self._next = (found[0] if found else 0) + 1
        first, self._next = self._next, self._next + number
        return range(first, first + number)

    def insert(self, table: str, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
        """Put rows into a table."""
        places = ", ".join("?" * len(columns))
        # Names of our own tables and columns, no text of anybody's.
        self._raw.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})", rows)  # noqa: S608
