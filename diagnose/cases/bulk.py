"""Many cases at once into a store, in one transaction: all of them are there afterwards, or none.

Imports SQLAlchemy: load this module late. The rows go to the database's own driver, in batches, since a
statement built for each row would take longer than the row; the sums go up in the same transaction, by their
keys, however many cases there are. One import at a time: a second one waits, and then finds what the first
has brought, so that no number is counted twice.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Protocol

from sqlalchemy import Connection

from diagnose.cases import refusals
from diagnose.cases.import_cases import Prepared, only_new_objects_searched
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import OVER, add_to_sums
from diagnose.cases.tables import answer_sums, cases, cause_sums, entries, unconfirmed_sums
from diagnose.terms import NOT_SURE

CASE_COLUMNS = tuple(column.name for column in cases.columns)
ENTRY_COLUMNS = tuple(column.name for column in entries.columns)
MOST_TOLD = 100
"""Cases with other content than the kept ones that are told one by one."""


class Driver(Protocol):
    """What the two databases do each in its own way."""

    def lock(self) -> None:
        """Let no other import in until the transaction ends."""
        ...

    def unlock(self) -> None:
        """What was changed for the time of the import is as before."""
        ...

    def has_any(self, source: str) -> bool:
        """Whether a case of this source is there."""
        ...

    def kept(self, source: str, numbers: Sequence[str]) -> list[tuple[Any, ...]]:
        """(number, id, symptom, opened, vehicle, confirmed, cause) of those that are there."""
        ...

    def kept_answers(self, ids: Sequence[int]) -> list[tuple[int, str, str]]:
        """(case, check, answer) of the findings of cases."""
        ...

    def new_ids(self, number: int) -> Sequence[int]:
        """So many numbers for cases."""
        ...

    def insert(self, table: str, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
        """Put rows into a table."""
        ...


@dataclass(frozen=True, slots=True)
class Differing:
    """A case that is kept with other content than the file has under the same number; the kept one stays."""

    number: str
    case: int
    what: tuple[str, ...]
    """Of symptom, date, vehicle, cause and answers, what is different."""
    cause: str = ""
    """The file's cause, where the kept case has none yet."""


@dataclass(slots=True)
class Written:
    """What became of the cases."""

    added: int = 0
    confirmed: int = 0
    already: int = 0
    """Kept before, with the same content."""
    differ: int = 0
    differing: list[Differing] = field(default_factory=list)
    """The first of them."""


def write_cases(
    store: CaseStore,
    source: str,
    batches: Iterable[list[Prepared]],
    now: datetime,
    progress: Callable[[int], None] = lambda _: None,
) -> Written:
    """Adds the cases that the source has not brought before; durable, with their sums, when it returns.

    `progress` hears how many were gone through. Raises what the store's refusals are; then nothing was added.
    """
    written = Written()
    with (
        store.writing() as connection,
        _told_plainly(store.address.shown),
        only_new_objects_searched(),
    ):
        driver = _driver(connection)
        driver.lock()
        try:
            known = driver.has_any(source)
            sums = _Sums()
            stamp = now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
            for batch in batches:
                fresh = _not_kept(driver, source, batch, written) if known else batch
                _insert(driver, source, fresh, stamp)
                sums.count(fresh)
                written.added += len(fresh)
                written.confirmed += sum(1 for case in fresh if case[8])
                progress(len(batch))
            sums.add(connection)
        finally:
            driver.unlock()
    return written


def compare_cases(store: CaseStore, source: str, batches: Iterable[list[Prepared]]) -> Written:
    """What `write_cases` would come to; nothing is written."""
    written = Written()
    with store.reading() as connection, _told_plainly(store.address.shown):
        driver = _driver(connection)
        known = driver.has_any(source)
        for batch in batches:
            fresh = _not_kept(driver, source, batch, written) if known else batch
            written.added += len(fresh)
            written.confirmed += sum(1 for case in fresh if case[8])
    return written


def _driver(connection: Connection) -> Driver:
    raw: Any = connection.connection.driver_connection
    if connection.dialect.name == "postgresql":
        from diagnose.cases.bulk_postgresql import PostgresqlDriver

        return PostgresqlDriver(raw)
    from diagnose.cases.bulk_sqlite import SqliteDriver

    return SqliteDriver(raw)


@contextmanager
def _told_plainly(shown: str) -> Iterator[None]:
    """The drivers' own complaints as refusals, as the store tells them; their words may hold the address."""
    try:
        yield
    except sqlite3.Error as error:
        refusal = refusals.by_sqlite(shown, error)
        if refusal is None:
            raise
        raise refusal from error
    except Exception as error:
        state = getattr(error, "sqlstate", "")
        refusal = (
            refusals.by_postgresql(shown, state) if type(error).__module__.startswith("psycopg") else None
        )
        if refusal is None:
            raise
        raise refusal from None


def _insert(driver: Driver, source: str, batch: Sequence[Prepared], stamp: str) -> None:
    rows: list[tuple[Any, ...]] = []
    lines: list[tuple[Any, ...]] = []
    add, add_line = rows.append, lines.append
    for id, (number, symptom, digest, state, opened, _, vehicle, key, cause, findings) in zip(
        driver.new_ids(len(batch)), batch, strict=True
    ):
        count = len(findings)
        # In the order of the table's columns: nobody is asked for the outcome of what somebody else has done.
        if cause:
            add((id, symptom, digest, "technician", state, opened, opened, vehicle, "", "",
                 True, cause, stamp, count, True, count, key, source, number))  # fmt: skip
        else:
            add((id, symptom, digest, "technician", state, opened, opened, vehicle, "", "",
                 False, "", None, 0, True, count, key, source, number))  # fmt: skip
        for line, (check, answer, value, uncertainty) in enumerate(findings, 1):
            add_line((id, line, opened, "finding", check, answer, value, uncertainty, False))
    driver.insert("cases", CASE_COLUMNS, rows)
    driver.insert("entries", ENTRY_COLUMNS, lines)


class _Sums:
    """Counts by the keys of the three tables of sums."""

    def __init__(self) -> None:
        self._causes: Counter[Any] = Counter()
        self._answers: Counter[Any] = Counter()
        self._unconfirmed: Counter[Any] = Counter()

    def count(self, batch: Sequence[Prepared]) -> None:
        """Counts cases: by cause and answers where the cause is known, as unknown where they are over."""
        self._causes.update([(case[1], case[8], case[5], case[3]) for case in batch if case[8]])
        self._unconfirmed.update(
            [(case[1], case[5], case[3]) for case in batch if not case[8] and case[3] in OVER]
        )
        self._answers.update(
            [
                (case[1], case[8], finding[0], finding[1], case[5], case[3])
                for case in batch
                if case[8]
                for finding in case[9]
                if finding[1] != NOT_SURE
            ]
        )

    def add(self, connection: Connection) -> None:
        """Adds them to the store's, in the order in which every confirmation takes the tables."""
        add_to_sums(connection, cause_sums, self._causes)
        add_to_sums(connection, answer_sums, self._answers)
        add_to_sums(connection, unconfirmed_sums, self._unconfirmed)


def _not_kept(driver: Driver, source: str, batch: list[Prepared], written: Written) -> list[Prepared]:
    """The cases whose number the source has not brought before; the others are compared with what is kept."""
    kept = {row[0]: row[1:] for row in driver.kept(source, [case[0] for case in batch])}
    if not kept:
        return batch
    answers: dict[int, set[tuple[str, str]]] = {}
    for id, check, answer in driver.kept_answers([row[0] for row in kept.values()]):
        answers.setdefault(id, set()).add((check, answer))
    fresh = []
    for case in batch:
        if case[0] not in kept:
            fresh.append(case)
            continue
        differing = _compared(case, kept[case[0]], answers)
        if differing is None:
            written.already += 1
            continue
        written.differ += 1
        if len(written.differing) < MOST_TOLD:
            written.differing.append(differing)
    return fresh


def _compared(
    case: Prepared, kept: tuple[Any, ...], answers: dict[int, set[tuple[str, str]]]
) -> Differing | None:
    id, symptom, opened, vehicle, confirmed, cause = kept
    what = [
        name
        for name, differs in (
            ("symptom", case[1] != symptom),
            ("date", case[4][:10] != opened[:10]),
            ("vehicle", case[6] != vehicle),
            ("cause", bool(case[8]) and case[8] != (cause if confirmed else "")),
            ("answers", {finding[:2] for finding in case[9]} != answers.get(id, set())),
        )
        if differs
    ]
    if not what:
        return None
    return Differing(case[0], id, tuple(what), "" if confirmed else case[8])
