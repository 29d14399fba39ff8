"""Connections to either database, and its complaints in plain words.

SQLite: write-ahead log with `synchronous = FULL`, so that a commit is on the disk when it returns; foreign
keys on; every writing transaction begins with BEGIN IMMEDIATE, for a lock that is taken at the first write
can be refused half-way (and Python's driver would leave CREATE TABLE outside the transaction). Reading ones
begin plainly and wait for nobody.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, QueuePool, create_engine, event
from sqlalchemy.exc import ArgumentError, DBAPIError

from diagnose.cases import refusals
from diagnose.cases.addresses import Address
from diagnose.cases.kinds import is_scrambled
from diagnose.cases.stamp import APPLICATION_ID
from diagnose.terms import DiagnoseError

PATIENCE = 20.0
"""Seconds to wait for another program's lock; each of ours holds it for some milliseconds."""


def engine_for(address: Address) -> Engine:
    """An engine that has not connected yet. Makes a file's folder where it is missing.

    Raises StoreRefused where that cannot be, the place cannot be written, or the driver is missing.
    """
    if address.path is not None:
        _make_room(address.path)
        return _sqlite_engine(address.path)
    try:
        # Somebody may sit at a question for an hour; a line that was cut meanwhile is simply made anew.
        return create_engine(address.url, connect_args={"connect_timeout": 10}, pool_pre_ping=True)
    except ImportError as error:
        raise refusals.StoreRefused(
            f"the case store {address.shown} needs the driver psycopg; install it with: "
            "pip install 'psycopg[binary]'"
        ) from error
    except (ArgumentError, ValueError) as error:
        raise refusals.not_reached(address.shown) from error


def reading(engine: Engine) -> Engine:
    """The same engine for transactions that only read, and see the store as it stood at their first look.

    SQLite gives that by itself; a server would show each statement what was committed meanwhile.
    """
    if engine.dialect.name == "postgresql":
        engine = engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
    return engine.execution_options(reads_only=True)


@contextmanager
def told_plainly(shown: str, path: Path | None = None) -> Iterator[None]:
    """Turns what a driver complains of into one of our refusals; its own words may hold the address.

    What cannot be reckoned with may come of damage to the file at `path`. That is looked into only then,
    since it takes going through all of it.
    """
    try:
        yield
    except (refusals.Scrambled, UnicodeDecodeError) as error:
        raise refusals.damaged(shown) from error
    except (TypeError, ValueError, LookupError) as error:
        if path is None or not is_scrambled(path):
            raise
        raise refusals.damaged(shown) from error
    except DBAPIError as error:
        refusal = _refusal(shown, error)
        if refusal is None and path is not None and is_scrambled(path):
            refusal = refusals.damaged(shown)
        if refusal is None:
            raise
        # A server's complaint may hold the address with its password; a file's is of use with --debug.
        raise refusal from (error if isinstance(error.orig, sqlite3.Error) else None)


def _make_room(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise refusals.not_made(str(path)) from error
    if not os.access(path if path.exists() else path.parent, os.W_OK) or not os.access(path.parent, os.W_OK):
        raise refusals.not_writable(str(path))


def _sqlite_engine(path: Path) -> Engine:
    def connect() -> sqlite3.Connection:
        return sqlite3.connect(path, timeout=PATIENCE, isolation_level=None, check_same_thread=False)

    engine = create_engine("sqlite+pysqlite://", creator=connect, poolclass=QueuePool)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: Any) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    if connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,):
        turn_to_log(connection)


def turn_to_log(connection: Any) -> None:
    """Sets the write-ahead log, once for the life of the file, and only when the file is a whole store.

    While another program is at the file this is refused; the slower rollback journal is as safe, and the
    next start tries again.
    """
    try:
        connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.OperationalError as error:
        if getattr(error, "sqlite_errorcode", None) != sqlite3.SQLITE_BUSY:
            raise


def _begin(connection: Connection) -> None:
    reads = connection.get_execution_options().get("reads_only")
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


def _refusal(shown: str, error: DBAPIError) -> DiagnoseError | None:
    if isinstance(error.orig, sqlite3.Error):
        return refusals.by_sqlite(shown, error.orig)
    return refusals.by_postgresql(shown, getattr(error.orig, "sqlstate", None))
