"""Making a store and bringing an older one up to date, with versions made up for the test."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Connection, inspect

from diagnose.cases.addresses import address_of
from diagnose.cases.engines import engine_for, told_plainly
from diagnose.cases.refusals import StoreRefused
from diagnose.cases.stamp import VERSION
from diagnose.cases.store import open_store
from diagnose.cases.tables import metadata
from diagnose.cases.versions import STEPS, bring_up_to_date, found_version

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def add_colour(connection: Connection) -> None:
    connection.exec_driver_sql("ALTER TABLE cases ADD COLUMN colour TEXT")


def add_weight(connection: Connection) -> None:
    connection.exec_driver_sql("ALTER TABLE cases ADD COLUMN weight INTEGER")


def fail_half_way(connection: Connection) -> None:
    add_colour(connection)
    connection.exec_driver_sql("CREATE TABLE half (way INTEGER)")
    raise StoreRefused("half-way")


def test_there_is_a_step_from_every_older_version() -> None:
    assert sorted(STEPS) == list(range(1, VERSION))


def test_an_older_store_goes_through_every_step_in_turn(url: str) -> None:
    with open_store(url) as store:
        case = store.open_case("hob", "d", "owner", "", NOON)
        steps = {VERSION: add_colour, VERSION + 1: add_weight}
        with store._engine.begin() as connection:
            assert bring_up_to_date(connection, "here", NOON, steps, goal=VERSION + 2) == VERSION + 2
        with store._engine.begin() as connection:
            columns = [column["name"] for column in inspect(connection).get_columns("cases")]
            assert columns[-2:] == ["colour", "weight"]
            assert found_version(connection, "here") == VERSION + 2
            versions = connection.exec_driver_sql("SELECT version FROM case_store ORDER BY version").all()
            assert [version for (version,) in versions] == [VERSION, VERSION + 1, VERSION + 2]
        assert store.case(case).symptom == "hob"


def test_a_step_that_fails_leaves_the_store_as_it_was(url: str) -> None:
    with open_store(url) as store:
        with pytest.raises(StoreRefused, match="half-way"), store._engine.begin() as connection:
            bring_up_to_date(
                connection, "here", NOON, {VERSION: add_weight, VERSION + 1: fail_half_way}, goal=VERSION + 2
            )
        with store._engine.begin() as connection:
            assert "half" not in inspect(connection).get_table_names()
            assert found_version(connection, "here") == VERSION
            assert not {"colour", "weight"} & {
                column["name"] for column in inspect(connection).get_columns("cases")
            }


def test_the_number_in_the_file_goes_with_the_number_in_the_table(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with open_store(str(path)) as store, store._engine.begin() as connection:
        bring_up_to_date(connection, "here", NOON, {VERSION: add_colour}, goal=VERSION + 1)
    with closing(sqlite3.connect(path)) as plain:
        assert plain.execute("PRAGMA user_version").fetchone() == (VERSION + 1,)
    with pytest.raises(
        StoreRefused, match=f"has version {VERSION + 1}, this program knows versions up to {VERSION}"
    ):
        open_store(str(path))


def test_a_store_is_made_once_even_if_asked_for_twice(url: str) -> None:
    engine = engine_for(address_of(url))
    for _ in range(2):
        with told_plainly("here"), engine.begin() as connection:
            assert bring_up_to_date(connection, "here", NOON) == VERSION
    with engine.begin() as connection:
        assert set(inspect(connection).get_table_names()) == set(metadata.tables)
    engine.dispose()


def test_sqlite_is_set_to_lose_nothing(sqlite_url: str) -> None:
    # SQLite's documentation, sqlite.org/pragma.html#pragma_synchronous: FULL is 2; with the write-ahead log,
    # NORMAL may lose the last commits on power loss, FULL does not.
    with open_store(sqlite_url) as store, store._engine.begin() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
