"""The case store: cases with their journals, and the sums that the ranking learns from.

Imports SQLAlchemy: load this module late. Each method is one transaction and durable when it returns.
Several programs may use one store at once; nothing is lost or counted twice.

What things cost as a store grows: opening, `append`, `end_case`, `reopen`, `confirm` and `outcome_asked` find
their rows by key and read at most the one case's journal; `tally` reads one symptom's sums; none of them
slows down with the number of cases. `cases` costs as much as it returns.

Confirming an open or left-off case is allowed: a garage may tell what it was before anybody walks on. The
case then counts under the state it has, and its sums move along when it ends otherwise or is reopened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from itertools import groupby
from typing import Any, get_args

from sqlalchemy import Connection, Engine, Row, Select, select, update

from diagnose.cases.addresses import Address, address_of
from diagnose.cases.engines import engine_for, reading, told_plainly, turn_to_log
from diagnose.cases.journal import Counted, counted_answers
from diagnose.cases.judging import judge
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.refusals import CaseStopped, NoSuchCase, Scrambled
from diagnose.cases.selecting import Wanted, query
from diagnose.cases.stamp import VERSION
from diagnose.cases.sums import OVER, move_sums, move_unconfirmed, read_tally
from diagnose.cases.tables import cases, entries, key_of_vehicle, store_identity
from diagnose.cases.versions import bring_up_to_date, found_version
from diagnose.terms import Role, State, Tally

_OF_ENTRY = tuple(column.name for column in entries.columns if column.name != "case_id")

_STATES, _ROLES = get_args(State), get_args(Role)

_MOST = 2**31 - 1
"""The highest number that a case can have: a server's plain integer."""

_AT_ONCE = 20
"""Cases of one vehicle that are read at once; nearly always the first of them tells what is asked."""


def open_store(url: str, clock: Callable[[], datetime] = lambda: datetime.now(UTC)) -> CaseStore:
    """The store at a file's path or URL; an empty or missing file becomes a new one.

    `clock` dates the making of a store and nothing else. Raises StoreRefused, with the file's bytes as they
    were, for what is not a whole store that this version knows, or cannot be written.
    """
    address = address_of(url)
    found = judge(address.path) if address.path is not None else None
    engine = engine_for(address)
    try:
        with told_plainly(address.shown):
            if address.path is None:
                with reading(engine).begin() as connection:
                    found = found_version(connection, address.shown)
            if found != VERSION:
                _make_current(engine, address, clock())
    except BaseException:
        engine.dispose()
        raise
    return CaseStore(engine, address)


def _make_current(engine: Engine, address: Address, now: datetime) -> None:
    with engine.connect() as connection:
        with connection.begin():
            if connection.dialect.name == "postgresql":
                # Two programs that both find nothing would both make the tables; one waits here instead.
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(1147749217)")
            bring_up_to_date(connection, address.shown, now)
        if connection.dialect.name == "sqlite":
            turn_to_log(connection.connection.driver_connection)


class CaseStore:
    """An open store. Made by `open_store`; a context manager that closes it."""

    def __init__(self, engine: Engine, address: Address) -> None:
        self.address = address
        self._engine = engine
        self._reading = reading(engine)

    def __enter__(self) -> CaseStore:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Lets go of the store; nothing has to be saved."""
        self._engine.dispose()

    def open_case(self, symptom: str, tree_digest: str, role: Role, vehicle: str, now: datetime) -> int:
        """The number of a new, open case."""
        fresh = CaseRecord(0, symptom, tree_digest, role, "open", now, now, vehicle)
        values = {column.name: getattr(fresh, column.name, None) for column in cases.columns}
        del values["id"]
        values |= {"lines": 0, "confirmed_lines": 0, "vehicle_key": key_of_vehicle(vehicle)}
        values |= {"source": None, "source_case": None}
        with self.writing() as connection:
            made = connection.execute(cases.insert().values(values)).inserted_primary_key
        return int(made[0]) if made is not None else 0

    def append(self, case: int, entry: Entry) -> Entry:
        """Adds one line to a case's journal; returns it with its number. Raises NoSuchCase."""
        with self.writing() as connection:
            row = _locked(connection, case)
            numbered = replace(entry, number=row.lines + 1)
            values = {name: getattr(numbered, name) for name in _OF_ENTRY}
            connection.execute(entries.insert(), {"case_id": case, **values})
            _change(connection, case, lines=numbered.number, changed=entry.time)
        return numbered

    def end_case(
        self, case: int, state: State, now: datetime, referral: str = "", points_to: str = ""
    ) -> None:
        """Ends a case, or leaves it off. A stop stays one. Raises NoSuchCase, CaseStopped."""
        if state == "open":
            raise ValueError("a case does not end as open; see reopen")
        with self.writing() as connection:
            row = _locked(connection, case)
            if row.state == "stopped" and state != "stopped":
                raise CaseStopped(case)
            self._to_state(connection, row, state, changed=now, referral=referral, points_to=points_to)

    def reopen(self, case: int, now: datetime) -> None:
        """Takes a case up again; only what its end said goes, and its next end is asked about anew.

        Raises NoSuchCase, CaseStopped.
        """
        with self.writing() as connection:
            row = _locked(connection, case)
            if row.state == "stopped":
                raise CaseStopped(case)
            gone = {"referral": "", "points_to": "", "asked_outcome": False}
            self._to_state(connection, row, "open", changed=now, **gone)

    def case(self, case: int) -> CaseRecord:
        """One case with its journal. Raises NoSuchCase."""
        found = self._records(select(cases).where(cases.c.id == case)) if 0 < case <= _MOST else ()
        if not found:
            raise NoSuchCase(case)
        return found[0]

    def cases(self, wanted: Wanted | None = None, **fields: Any) -> tuple[CaseRecord, ...]:
        """The cases that fit, with their journals, newest first; `fields` are those of `Wanted`."""
        return self._records(query(wanted or Wanted(**fields)))

    def newest_first(self, vehicle: str) -> Iterator[CaseRecord]:
        """This store's own cases of a vehicle, by their last lines, read a few at a time as asked for."""
        beyond = None
        while True:
            some = self.cases(vehicle=vehicle, own=True, beyond=beyond, by_change=True, limit=_AT_ONCE)
            yield from some
            if len(some) < _AT_ONCE:
                return
            beyond = (some[-1].changed, some[-1].case)

    def confirm(self, case: int, cause: str, now: datetime) -> CaseRecord:
        """Sets what a case turned out to be (a cut set's id or `not-listed`) and counts it; returns the case.

        The answers that stand in its journal now are counted with it. With another cause than before, the
        sums move; with the same again nothing changes, not even the answers counted. Raises NoSuchCase.
        """
        if not cause:
            raise ValueError("a case is confirmed with a cause")
        with self.writing() as connection:
            row = _locked(connection, case)
            if not (row.confirmed and row.cause == cause):
                changed = {
                    "confirmed": True,
                    "cause": cause,
                    "confirmed_on": now,
                    "confirmed_lines": row.lines,
                    "changed": now,
                }
                self._recount(connection, row, changed)
        return self.case(case)

    def tally(self, symptom: str, now: datetime, half_life: float | None = None) -> Tally:
        """The sums over confirmed cases of one symptom; with a half-life (years) older ones count less."""
        with self.reading() as connection:
            return read_tally(connection, symptom, now, half_life)

    def awaiting_outcome(self) -> CaseRecord | None:
        """The oldest ended case that is unconfirmed and whose outcome nobody has been asked for yet."""
        wanted = query(Wanted(states=OVER, confirmed=False, oldest_first=True, limit=1))
        return next(iter(self._records(wanted.where(cases.c.asked_outcome.is_(False)))), None)

    def outcome_asked(self, case: int) -> None:
        """Notes that somebody was asked what the case turned out to be; once is enough. Raises NoSuchCase."""
        with self.writing() as connection:
            _locked(connection, case)
            _change(connection, case, asked_outcome=True)

    @property
    def origin(self) -> str:
        """The name, made at random, under which this store's sums and codes go to others."""
        with self.reading() as connection:
            return str(connection.scalar(select(store_identity.c.origin)))

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction that may write; durable when it is left, undone when an error leaves it."""
        with told_plainly(self.address.shown, self.address.path), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One transaction that only reads, and sees the store as it stood at its begin."""
        with told_plainly(self.address.shown, self.address.path), self._reading.begin() as connection:
            yield connection

    def _records(self, wanted: Select[Any]) -> tuple[CaseRecord, ...]:
        numbers = wanted.with_only_columns(cases.c.id).subquery()
        lines = (
            select(entries)
            .join(numbers, numbers.c.id == entries.c.case_id)
            .order_by(entries.c.case_id, entries.c.number)
        )
        with self.reading() as connection:
            rows = connection.execute(wanted).all()
            journals = {
                case: tuple(map(_entry, group))
                for case, group in groupby(connection.execute(lines), key=lambda line: line.case_id)
            }
            return tuple(record_of(row, journals.get(row.id, ())) for row in rows)

    def _to_state(self, connection: Connection, row: Row[Any], state: State, **values: Any) -> None:
        if row.confirmed:
            self._recount(connection, row, {"state": state, **values})
        else:
            now = row._asdict()
            move_unconfirmed(connection, now, now | {"state": state})
            _change(connection, row.id, state=state, **values)

    def _recount(self, connection: Connection, row: Row[Any], changes: dict[str, Any]) -> None:
        """Changes a case and, in the same transaction, moves the sums from what it was to what it becomes."""
        journal = select(entries).where(entries.c.case_id == row.id).order_by(entries.c.number)
        lines = tuple(map(_entry, connection.execute(journal)))
        now = row._asdict()
        move_sums(connection, _counted(now, lines), _counted(now | changes, lines))
        move_unconfirmed(connection, now, now | changes)
        _change(connection, row.id, **changes)


def _locked(connection: Connection, case: int) -> Row[Any]:
    """The case's row, held until the transaction ends. (SQLite knows no FOR UPDATE; it locks the file.)"""
    held = select(cases).where(cases.c.id == case).with_for_update()
    row = connection.execute(held).first() if 0 < case <= _MOST else None
    if row is None:
        raise NoSuchCase(case)
    return row


def _change(connection: Connection, case: int, **values: Any) -> None:
    connection.execute(update(cases).where(cases.c.id == case).values(values))


def _counted(case: dict[str, Any], lines: tuple[Entry, ...]) -> Counted | None:
    if not case["confirmed"]:
        return None
    answers = counted_answers(lines[: case["confirmed_lines"]])
    return Counted(case["symptom"], case["cause"], case["opened"].year, case["state"], answers)


def _entry(row: Row[Any]) -> Entry:
    return Entry(**{name: getattr(row, name) for name in _OF_ENTRY})


def record_of(row: Row[Any], journal: tuple[Entry, ...] = ()) -> CaseRecord:
    """A case from its row in `cases`, with as much of its journal as is known. Raises Scrambled."""
    if row.state not in _STATES or row.role not in _ROLES:
        raise Scrambled(f"a case is not {row.state!r}, nor is anybody {row.role!r}")
    known = {name: value for name, value in row._asdict().items() if name in CaseRecord.__dataclass_fields__}
    known |= {"source": row.source or "", "source_case": row.source_case or ""}
    return CaseRecord(case=row.id, **known, entries=journal)
