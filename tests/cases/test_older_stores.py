"""Stores as earlier versions of the program left them: brought up to date with everything that is in them.

The files in stores/ were written by the program as it was at that version, and dumped by the databases' own
tools (SQLite's iterdump, pg_dump); they are never changed.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import inspect

from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import begin_round, note, round_kept, rounds_kept
from diagnose.cases.stamp import VERSION
from diagnose.cases.store import CaseStore, open_store
from diagnose.terms import EndedCases

STORES = Path(__file__).parent / "stores"
NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
OLDER = range(1, VERSION)


def restored(url: str, version: int) -> str:
    """The store of that version, put where the address says."""
    kind = url.partition(":")[0]
    script = (STORES / f"version-{version}.{kind}.sql").read_text()
    if kind == "sqlite":
        with closing(sqlite3.connect(url.partition(":///")[2])) as connection:
            connection.executescript(script)
    else:
        import psycopg

        with psycopg.connect(url) as connection:
            connection.execute(script.encode())
    return url


def shape_of(store: CaseStore) -> dict[str, object]:
    """Tables, columns, keys and indexes as the database itself tells them."""
    with store.reading() as connection:
        look = inspect(connection)
        return {
            name: (
                sorted(
                    (c["name"], str(c["type"]), c["nullable"], c["default"]) for c in look.get_columns(name)
                ),
                look.get_pk_constraint(name)["constrained_columns"],
                sorted(
                    (str(i["name"]), i["column_names"], bool(i["unique"])) for i in look.get_indexes(name)
                ),
            )
            for name in look.get_table_names()
        }


@pytest.mark.parametrize("version", OLDER)
def test_its_cases_and_sums_are_all_there(url: str, version: int) -> None:
    with open_store(restored(url, version)) as store:
        assert [case.case for case in store.cases(oldest_first=True)] == [1, 2, 3, 4, 5, 6, 7]
        third = store.case(3)
        assert (third.state, third.referral, third.source, len(third.entries)) == (
            "referred",
            "workshop",
            "",
            1,
        )
        pump = store.tally("water-pump", NOON)
        assert pump.causes == {"pump-fuse": 1.0, "pump-worn": 1.0}
        assert pump.endings["referred"] == EndedCases(
            3.0, 1.0, {"pump-worn": 1.0}, {("pump-worn", "pump-sound", "runs"): 1.0}
        )
        assert store.tally("heater-no-fire", NOON).endings["stopped"] == EndedCases(1.0, 0.0)
        # A vehicle is known by its label in any capitals, beyond those of English too.
        assert [case.case for case in store.cases(vehicle="ÜBERLAND 3")] == [6, 5]
        assert [case.case for case in store.newest_first("VAN 7")] == [2, 1]


@pytest.mark.parametrize("version", OLDER)
def test_it_goes_on_as_a_store_of_today(url: str, version: int) -> None:
    with open_store(restored(url, version)) as store:
        store.confirm(3, "pump-fuse", NOON)
        store.end_case(store.open_case("water-pump", "d", "owner", "", NOON), "referred", NOON)
        ended = store.tally("water-pump", NOON).endings["referred"]
        assert (ended.ended, ended.confirmed) == (4.0, 2.0)
    with open_store(url) as again:
        assert len(again.origin) == 16
        assert again.case(8).symptom == "water-pump"


@pytest.mark.parametrize("version", OLDER)
def test_rounds_can_be_kept_in_it(url: str, version: int) -> None:
    with open_store(restored(url, version)) as store:
        assert rounds_kept(store) == ()
        begun = begin_round(store, "wake-up", "digest", "Van 7", "", NOON)
        note(store, begun.number, [RoundLine(NOON, "mark", "w15-hob", "wrong", case=5)])
    with open_store(url) as again:
        assert [(each.subject, each.case) for each in round_kept(again, 1).lines] == [("w15-hob", 5)]


def test_what_was_merged_into_it_still_counts(url: str) -> None:
    with open_store(restored(url, 2)) as store:
        assert store.tally("step-stuck", NOON).causes == {"step-fuse": 1.0}
        assert store.origin != "355f915d6de58d74"


@pytest.mark.parametrize("version", OLDER)
def test_it_has_the_shape_of_a_new_store(url: str, version: int, fresh_url: Callable[[str], str]) -> None:
    with open_store(restored(url, version)) as old, open_store(fresh_url(url)) as new:
        shape, wanted = shape_of(old), shape_of(new)
        if url.startswith("sqlite"):
            # SQLite cannot drop a default once a column was added with it.
            for shapes in (shape, wanted):
                columns = shapes["cases"][0]  # type: ignore[index]
                columns[:] = [(*c[:3], None) if c[0] == "vehicle_key" else c for c in columns]
        assert shape == wanted
        assert old.origin != new.origin
