"""Cases that are forgotten are gone: from the lists, from the sums, and from the bytes of the file."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.checking import differences
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import NoSuchVehicle, cases_named, clear_traces, forget
from diagnose.cases.records import Entry
from diagnose.cases.refusals import NoSuchCase
from diagnose.cases.store import CaseStore, open_store
from diagnose.terms import EndedCases

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LABEL = "Zamboanga-7"
"""A label that stands nowhere else in a file, nor any part of it longer than a few letters."""


@pytest.fixture
def filled(store: CaseStore, found: Callable[..., Entry]) -> CaseStore:
    """Cases 1 and 2 of the vehicle (confirmed, and not), 3 of another (confirmed)."""
    for vehicle, cause in ((LABEL, "grit"), (LABEL.upper(), ""), ("van 8", "grit")):
        case = store.open_case("hob", "d", "owner", vehicle, NOON)
        store.append(case, found("flame", "weak"))
        if cause:
            store.confirm(case, cause, NOON)
        store.end_case(case, "referred", NOON, referral="workshop")
    return store


def test_its_journal_and_all_that_it_counted_go(filled: CaseStore) -> None:
    forget(filled, [1])
    with pytest.raises(NoSuchCase):
        filled.case(1)
    with filled.reading() as connection:
        left = connection.exec_driver_sql("SELECT DISTINCT case_id FROM entries ORDER BY 1").all()
        assert left == [(2,), (3,)]
        assert differences(connection) == ()
    tally = filled.tally("hob", NOON)
    assert tally.causes == {"grit": 1.0}
    assert tally.answers == {("grit", "flame", "weak"): 1.0}
    assert tally.endings["referred"] == EndedCases(2.0, 1.0, dict(tally.causes), dict(tally.answers))


def test_a_case_that_nobody_has_confirmed_leaves_the_sums_of_those(filled: CaseStore) -> None:
    forget(filled, [2])
    assert (filled.tally("hob", NOON).endings["referred"].ended, len(filled.cases())) == (2.0, 2)
    with filled.reading() as connection:
        assert differences(connection) == ()


def test_all_at_once_and_the_next_case_has_a_new_number(filled: CaseStore) -> None:
    forget(filled, [3, 1, 2, 2])
    assert filled.cases() == ()
    assert filled.tally("hob", NOON).causes == {}
    assert filled.open_case("hob", "d", "owner", "", NOON) == 4


def test_the_next_export_no_longer_counts_it(filled: CaseStore) -> None:
    assert make_export(filled, 2026)[0].causes == (("hob", "grit", 2026, "referred", 2),)
    forget(filled, [1])
    second = make_export(filled, 2026)[0]
    assert (second.number, second.causes) == (2, (("hob", "grit", 2026, "referred", 1),))


def test_no_sum_stays_behind_that_tells_what_it_was(filled: CaseStore, found: Callable[..., Entry]) -> None:
    filled.append(2, found("smell", "of-elderflower"))
    filled.confirm(2, "a-rare-cause", NOON)
    filled.confirm(2, "frost", NOON)
    forget(filled, [2])
    with filled.reading() as connection:
        for table in ("cause_sums", "answer_sums", "unconfirmed_sums"):
            rows = connection.exec_driver_sql(f"SELECT * FROM {table}").all()
            assert not any(word in str(rows) for word in ("rare", "elderflower", "frost"))
            assert all(row.total > 0 for row in rows)


def test_where_one_number_is_wrong_nothing_is_forgotten(filled: CaseStore) -> None:
    for numbers in ([1, 9], [0], [2**40]):
        with pytest.raises(NoSuchCase):
            forget(filled, numbers) if numbers != [2**40] else cases_named(filled, numbers, [])
    assert len(filled.cases()) == 3
    assert filled.tally("hob", NOON).causes == {"grit": 2.0}


def test_more_cases_than_are_taken_at_a_time_go_in_one_transaction(
    store: CaseStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.cases.forgetting._AT_ONCE", 2)
    for cause in "xyxyx":
        store.confirm(store.open_case("hob", "d", "owner", "van", NOON), cause, NOON)
    assert [each.case for each in cases_named(store, [5], ["VAN"])] == [1, 2, 3, 4, 5]
    with pytest.raises(NoSuchCase):
        forget(store, [1, 2, 3, 4, 5, 6])
    assert store.tally("hob", NOON).causes == {"x": 3.0, "y": 2.0}
    forget(store, [1, 2, 3, 4])
    assert store.tally("hob", NOON).causes == {"x": 1.0}


def test_a_vehicle_is_named_by_its_label_in_any_capitals(filled: CaseStore) -> None:
    assert [each.case for each in cases_named(filled, [3], [f" {LABEL.lower()} "])] == [1, 2, 3]
    first = cases_named(filled, [1], [])[0]
    assert (first.vehicle, first.confirmed, first.cause, first.lines, first.source) == (
        LABEL,
        True,
        "grit",
        1,
        None,
    )


def test_a_number_is_never_taken_for_a_label_nor_a_label_for_a_number(store: CaseStore) -> None:
    store.open_case("hob", "d", "owner", "2", NOON)
    store.open_case("hob", "d", "owner", "1", NOON)
    assert [each.case for each in cases_named(store, [2], [])] == [2]
    assert [each.case for each in cases_named(store, [], ["2"])] == [1]


def test_a_vehicle_that_nobody_knows_is_told_with_the_nearest(filled: CaseStore) -> None:
    with pytest.raises(NoSuchVehicle) as refused:
        cases_named(filled, [], ["van 9"])
    assert str(refused.value) == 'no case has the vehicle "van 9" (did you mean "van 8"?)'
    with pytest.raises(NoSuchVehicle, match=r"`diagnose cases list` shows those there are$"):
        cases_named(filled, [], ["quux"])


# What is left on the disk -----------------------------------------------------------------------------------


def bytes_of(path: Path) -> bytes:
    """The file and all that SQLite keeps beside it."""
    return b"".join(each.read_bytes() for each in sorted(path.parent.glob(f"{path.name}*")))


@pytest.fixture(scope="module")
def used(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A store in which earlier versions of a row lie about, as they do after some hours of use."""
    path = tmp_path_factory.mktemp("used") / "cases.sqlite"
    with open_store(str(path)) as store:
        for number in range(12):
            case = store.open_case("hob", "d", "owner", LABEL if number == 6 else f"van {number}", NOON)
            for check in range(4):
                store.append(
                    case, Entry(NOON, "finding", f"check-{check}", "qwertz" if number == 6 else "yes")
                )
            store.confirm(case, "grit", NOON)
            store.end_case(case, "referred", NOON, referral="a-referral-that-makes-the-row-longer")
    return path.read_bytes()


def traced(path: Path, used: bytes) -> CaseStore:
    path.write_bytes(used)
    return open_store(str(path))


def test_nothing_of_it_is_left_in_the_file(tmp_path: Path, used: bytes) -> None:
    path = tmp_path / "cases.sqlite"
    with traced(path, used) as store:
        assert LABEL.encode() in bytes_of(path)
        forget(store, [7])
        assert clear_traces(store) == "gone"
        left = bytes_of(path)
        assert LABEL.encode() not in left
        assert b"zamboanga" not in left.lower()
        assert b"qwertz" not in left
        assert len(store.cases()) == 11
    assert b"van 5" in bytes_of(path)


def test_the_store_is_whole_and_its_own_afterwards(tmp_path: Path, used: bytes) -> None:
    path = tmp_path / "cases.sqlite"
    with traced(path, used) as store:
        origin = store.origin
        forget(store, range(1, 11))
        assert clear_traces(store) == "gone"
        store.open_case("hob", "d", "owner", "", NOON)
    with open_store(str(path)) as again:
        assert again.origin == origin
        assert [case.case for case in again.cases(oldest_first=True)] == [11, 12, 13]
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_while_somebody_reads_the_file_it_says_that_traces_are_left(
    tmp_path: Path, used: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.cases.forgetting.PATIENCE", 0.05)
    path = tmp_path / "cases.sqlite"
    with traced(path, used) as store, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN")
        other.execute("SELECT * FROM cases").fetchone()
        forget(store, [7])
        assert clear_traces(store) == "in-the-file"
        other.execute("ROLLBACK")
        assert clear_traces(store) == "gone"
        assert LABEL.encode() not in bytes_of(path)


def test_of_a_server_it_says_that_traces_are_left(postgresql_url: str) -> None:
    pytest.importorskip("psycopg")
    with open_store(postgresql_url) as store:
        store.open_case("hob", "d", "owner", "van", NOON)
        forget(store, [1])
        assert clear_traces(store) == "on-the-server"
