"""Many rows at once into PostgreSQL by COPY, through psycopg 3. Loaded for such a store alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

_IMPORTING = 1147749218
"""Any number: the key of the lock that keeps imports apart."""


class PostgresqlDriver:
    """What `bulk` asks of a database."""

    def __init__(self, raw: Any) -> None:
        self._raw = raw

    def lock(self) -> None:
        """Waits for another import; the lock goes with the transaction."""
        self._raw.execute(f"SELECT pg_advisory_xact_lock({_IMPORTING})")

    def unlock(self) -> None:
        """The end of the transaction does it."""

    def has_any(self, source: str) -> bool:
        """Whether a case of this source is there."""
        found = self._raw.execute("SELECT EXISTS (SELECT 1 FROM cases WHERE source = %s)", (source,))
        return bool(found.fetchone()[0])

    def kept(self, source: str, numbers: Sequence[str]) -> list[tuple[Any, ...]]:
        """(number, id, symptom, opened, vehicle, confirmed, cause), each found by the index."""
        found = self._raw.execute(
            "SELECT source_case, id, symptom, opened, vehicle, confirmed, cause FROM cases"
            " WHERE source = %s AND source_case = ANY(%s)",
            (source, list(numbers)),
        )
        return list(found.fetchall())

    def kept_answers(self, ids: Sequence[int]) -> list[tuple[int, str, str]]:
        """(case, check, answer) of findings."""
        found = self._raw.execute(
            "SELECT case_id, subject, answer FROM entries WHERE kind = 'finding' AND case_id = ANY(%s)",
            (list(ids),),
        )
        return list(found.fetchall())

    def new_ids(self, number: int) -> Sequence[int]:
        """The next numbers of the table's own sequence; others may take some in between."""
        found = self._raw.execute(
            "SELECT nextval(pg_get_serial_sequence('cases', 'id')) FROM generate_series(1, %s)", (number,)
        )
        return [row[0] for row in found.fetchall()]

    def insert(self, table: str, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
        """Put rows into a table."""
        with (
            self._raw.cursor() as cursor,
            # Names of our own tables and columns, no text of anybody's.
            cursor.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy,
        ):
            for row in rows:
                copy.write_row(row)
