"""Values that no version of the program ever writes are found in a store, and told as damage.

They are not told as a fault of the program's own, and a fault of its own is not told as damage.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.browsing import listed
from diagnose.cases.bulk import write_cases
from diagnose.cases.checking import differences, integrity
from diagnose.cases.kinds import of_wrong_kind
from diagnose.cases.records import Entry
from diagnose.cases.refusals import StoreDamaged
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import CaseStore, open_store
from tests.cases.at_one_store import confirmed
from tests.cases.import_histories import history, row, write

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cases.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[CaseStore]:
    with open_store(str(path)) as opened:
        confirmed(opened, "ab", "van 7")
        opened.end_case(1, "referred", NOON)
        yield opened


def changed(path: Path, column: str, value: str, table: str = "cases") -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"UPDATE {table} SET {column} = {value} WHERE rowid = 1")
        connection.commit()


def told(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return list(of_wrong_kind(connection))


def test_a_whole_store_has_none(store: CaseStore, path: Path) -> None:
    store.append(2, Entry(NOON, "finding", "volts", "low", 11.25, 0.1))
    store.append(2, Entry(NOON, "finding", "volts", "low", 11, 0))
    assert told(path) == []
    assert integrity(store) == ()


# One bit turns the serial type of a text into that of a blob (sqlite.org/fileformat2.html section 2.1).
WRONG = [
    ("cases", "symptom", "CAST(symptom AS BLOB)"),
    ("cases", "cause", "CAST(cause AS BLOB)"),
    ("cases", "state", "'seferred'"),
    ("cases", "role", "'ouner'"),
    ("cases", "lines", "'abc'"),
    ("cases", "confirmed_lines", "1e300"),
    ("cases", "source", "x'ff00'"),
    ("cases", "opened", "replace(opened, '2026', '2O26')"),
    ("cases", "confirmed_on", "'soon'"),
    ("entries", "time", "substr(time, 2)"),
    ("entries", "kind", "'fiNding'"),
    ("entries", "answer", "CAST(answer AS BLOB)"),
    ("entries", "value", "'much'"),
    ("cause_sums", "total", "'many'"),
    ("unconfirmed_sums", "ending", "'over'"),
    ("store_identity", "origin", "x'00'"),
]


@pytest.mark.parametrize(("table", "column", "value"), WRONG)
def test_each_is_told_by_a_check_and_refused_when_opened(
    store: CaseStore, path: Path, table: str, column: str, value: str
) -> None:
    if table == "unconfirmed_sums":
        store.end_case(store.open_case("hob", "d", "owner", "", NOON), "cured", NOON)
    changed(path, column, value, table)
    assert told(path) == [f"1 row of {table} hold values of a wrong kind"]
    assert told(path)[0] in integrity(store)
    store.close()
    before = path.read_bytes()
    with pytest.raises(StoreDamaged, match="is damaged; it was left as it is; to put back a copy: "):
        open_store(str(path))
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("column", "value"),
    [("cause", "x'ff00'"), ("lines", "'abc'"), ("confirmed_lines", "1e300"), ("state", "'seferred'")],
)
def test_in_a_store_too_large_to_go_through_at_the_start_they_are_told_when_met(
    store: CaseStore, path: Path, column: str, value: str
) -> None:
    changed(path, column, value)

    def checked() -> None:
        with store.reading() as connection:
            differences(connection)

    deeds: list[Callable[[], object]] = [
        store.cases,
        checked,
        lambda: list(listed(store, Wanted(), with_findings=True)),
        lambda: store.confirm(1, "c", NOON),
        lambda: store.append(1, Entry(NOON, "finding", "q", "no")),
    ]
    said = []
    for deed in deeds:
        try:
            deed()
        except StoreDamaged as error:
            said.append(str(error))
    assert said
    assert all(
        re.fullmatch(r"the case store \S+ is damaged; it was left as it is; .*", line) for line in said
    )


def test_a_column_whose_name_was_spoilt_is_told_by_an_import_too(
    store: CaseStore, path: Path, tmp_path: Path
) -> None:
    _, spool = history(write(tmp_path / "fleet.csv", [row()])).read()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("ALTER TABLE entries RENAME COLUMN time TO tine")
    with closing(spool), pytest.raises(StoreDamaged, match="is damaged; it was left as it is"):
        write_cases(store, "fleet", spool, NOON)
    store.close()
    with pytest.raises(StoreDamaged):
        open_store(str(path))


def test_a_fault_of_the_programs_own_is_not_called_damage(store: CaseStore) -> None:
    with pytest.raises(TypeError, match="my own"), store.reading():
        raise TypeError("my own")
