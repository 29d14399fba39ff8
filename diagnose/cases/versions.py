"""Making a store, and bringing an older one up to date.

A new store gets the tables as they are now. A store of version n goes through `STEPS[n]`, `STEPS[n + 1]` ...,
each of which turns one version into the next. All of it, with the note that it happened, is one transaction:
a store is never between two versions, whatever happens to the program.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import Connection, func, inspect, select

from diagnose.cases import refusals
from diagnose.cases.migrations import STEPS, Migration
from diagnose.cases.stamp import APPLICATION_ID, VERSION
from diagnose.cases.tables import case_store, metadata, store_identity


def bring_up_to_date(
    connection: Connection,
    shown: str,
    now: datetime,
    steps: Mapping[int, Migration] = STEPS,
    goal: int = VERSION,
) -> int:
    """The version that the store has afterwards, which is `goal`.

    Runs in the caller's transaction, which must hold the only lock for writing. Raises StoreRefused for a
    database that holds tables of somebody else, or a newer version.
    """
    found = found_version(connection, shown)
    if found > goal:
        raise refusals.too_new(shown, found, goal)
    if found == 0:
        metadata.create_all(connection, checkfirst=False)
        connection.execute(store_identity.insert(), {"origin": secrets.token_hex(8), "exports": 0})
        _note(connection, goal, now)
    for version in range(found or goal, goal):
        steps[version](connection)
        _note(connection, version + 1, now)
    return goal


def found_version(connection: Connection, shown: str) -> int:
    """The store's version, 0 where there is nothing yet. Raises StoreRefused for somebody else's tables."""
    names = inspect(connection).get_table_names()
    if case_store.name in names:
        version = connection.scalar(select(func.max(case_store.c.version)))
        if version is None:
            raise refusals.damaged(shown)
        return int(version)
    if names:
        raise refusals.not_a_store(shown)
    return 0


def _note(connection: Connection, version: int, now: datetime) -> None:
    connection.execute(case_store.insert(), {"version": version, "since": now})
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {version}")
