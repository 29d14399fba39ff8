"""Sums counted anew from the cases: they agree after whatever was done, and every difference is told."""

from __future__ import annotations

import sqlite3
import tracemalloc
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.checking import (
    Difference,
    differences,
    integrity,
    journals_of_wrong_length,
    mend,
    recounted,
)
from diagnose.cases.checking_places import (
    Group,
    by_confirmed_cause,
    by_symptom,
    numbers,
    opened_after,
    with_numbers,
)
from diagnose.cases.exchange import Export
from diagnose.cases.forgetting import forget
from diagnose.cases.journal import counted_answers
from diagnose.cases.merging import merge
from diagnose.cases.records import Entry
from diagnose.cases.refusals import CaseStopped, StoreDamaged
from diagnose.cases.store import CaseStore, open_store
from tests.cases.checking_figures import fill
from tests.cases.test_costs import statements_of

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
OLDER = datetime(2024, 12, 31, 23, 59, tzinfo=UTC)


def differing(store: CaseStore) -> tuple[Difference, ...]:
    with store.reading() as connection:
        return differences(connection)


@pytest.fixture
def two(store: CaseStore, found: Callable[..., Entry]) -> CaseStore:
    """A store with two confirmed cases and one that nobody has confirmed."""
    for opened in (NOON, OLDER):
        case = store.open_case("hob", "d", "owner", "", opened)
        store.append(case, found("flame", "weak"))
        store.append(case, found("flame", "none"))
        store.append(case, found("volts", "low", 11.25))
        store.append(case, found("volts", "not-sure"))
        store.confirm(case, "grit", NOON)
        store.end_case(case, "cured", NOON)
    store.end_case(store.open_case("hob", "d", "owner", "", NOON), "referred", NOON)
    return store


# They agree -------------------------------------------------------------------------------------------------

deeds = st.lists(
    st.one_of(
        st.tuples(st.just("finding"), st.sampled_from("ab"), st.sampled_from(["yes", "no", "not-sure"])),
        st.tuples(st.just("back"), st.sampled_from("12345"), st.none()),
        st.tuples(st.just("dropped"), st.sampled_from("ab"), st.none()),
        st.tuples(st.just("shown"), st.just("pinch"), st.none()),
        st.tuples(st.just("confirm"), st.sampled_from(["x", "y"]), st.none()),
        st.tuples(st.just("end"), st.sampled_from(["cured", "referred", "stopped", "left-off"]), st.none()),
        st.tuples(st.just("reopen"), st.just(""), st.none()),
        st.tuples(st.just("forget"), st.just(""), st.none()),
    ),
    max_size=12,
)


@pytest.fixture(scope="module")
def reused(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CaseStore]:
    with open_store(str(tmp_path_factory.mktemp("agree") / "cases.sqlite")) as store:
        yield store


@settings(max_examples=20)
@given(st.lists(deeds, min_size=1, max_size=3))
def test_after_whatever_was_done_every_sum_is_what_the_cases_come_to(
    reused: CaseStore, of_cases: list[list[tuple[str, str, str | None]]]
) -> None:
    forget(reused, [case.case for case in reused.cases()])
    for number, done in enumerate(of_cases):
        case = reused.open_case("hob", "d", "owner", "", (NOON, OLDER)[number % 2])
        for kind, subject, answer in done:
            if kind == "forget":
                forget(reused, [case])
                break
            try:
                _do(reused, case, kind, subject, answer)
            except CaseStopped:
                continue
    assert differing(reused) == ()
    with reused.reading() as connection:
        assert journals_of_wrong_length(connection) == ()
        counted = recounted(connection)
    # Counted a third time, case by case, from what the store hands out.
    records = reused.cases()
    assert counted["causes"] == Counter(
        (each.symptom, each.cause, each.opened.year, each.state) for each in records if each.confirmed
    )
    assert sum(counted["unconfirmed"].values()) == sum(
        not each.confirmed and each.state in ("cured", "referred", "stopped") for each in records
    )
    with reused.reading() as connection:
        held = dict(map(tuple, connection.exec_driver_sql("SELECT id, confirmed_lines FROM cases")))
    assert counted["answers"] == Counter(
        (each.symptom, each.cause, check, answer, each.opened.year, each.state)
        for each in records
        if each.confirmed
        for check, answer in counted_answers(each.entries[: held[each.case]]).items()
    )


def _do(store: CaseStore, case: int, kind: str, subject: str, answer: str | None) -> None:
    if kind == "confirm":
        store.confirm(case, subject, NOON)
    elif kind == "end":
        store.end_case(case, subject, NOON)  # type: ignore[arg-type]
    elif kind == "reopen":
        store.reopen(case, NOON)
    else:
        store.append(case, Entry(NOON, kind, subject, answer))  # type: ignore[arg-type]


def test_they_agree_on_a_server_too(two: CaseStore, found: Callable[..., Entry]) -> None:
    two.append(1, Entry(NOON, "back", "2"))
    two.append(1, found("sound", "loud"))
    two.confirm(1, "frost", NOON)
    assert differing(two) == ()
    with two.reading() as connection:
        assert recounted(connection) == {
            "causes": {("hob", "frost", 2026, "cured"): 1, ("hob", "grit", 2024, "cured"): 1},
            "answers": {
                ("hob", "frost", "flame", "weak", 2026, "cured"): 1,
                ("hob", "frost", "sound", "loud", 2026, "cured"): 1,
                ("hob", "grit", "flame", "none", 2024, "cured"): 1,
            },
            "unconfirmed": {("hob", 2026, "referred"): 1},
        }
        assert numbers(connection) == (3, 2, 6)


def test_what_is_merged_from_others_is_no_difference(two: CaseStore) -> None:
    merge(two, [("f", Export("00c0ffee00c0ffee", 1, (("hob", "grit", 2026, "cured", 9),)))], NOON)
    assert differing(two) == ()


# They differ ------------------------------------------------------------------------------------------------


def spoil(store: CaseStore, *statements: str) -> None:
    with store.writing() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)


SPOILT = (
    "UPDATE cause_sums SET total = 5 WHERE year = 2026",
    "DELETE FROM answer_sums WHERE year = 2024",
    "INSERT INTO answer_sums VALUES ('hob', 'grit', 'sound', 'loud', 2026, 'cured', '', 3)",
    "UPDATE unconfirmed_sums SET total = 0",
)
TOLD = (
    Difference("answers", ("hob", "grit", "flame", "none", 2024, "cured"), 0, 1),
    Difference("answers", ("hob", "grit", "sound", "loud", 2026, "cured"), 3, 0),
    Difference("causes", ("hob", "grit", 2026, "cured"), 5, 1),
    Difference("causes", ("hob", "grit", 2026, "open"), 5, 0),
    Difference("unconfirmed", ("hob", 2026, "referred"), 0, 1),
)


def test_every_sum_that_differs_is_told_and_no_other(two: CaseStore) -> None:
    spoil(two, *SPOILT)
    assert sorted(differing(two)) == list(TOLD)
    assert TOLD[0].named() == {
        "symptom": "hob",
        "cause": "grit",
        "check": "flame",
        "answer": "none",
        "year": 2024,
        "ending": "cured",
    }


def test_mending_sets_them_right_and_leaves_what_was_merged(two: CaseStore) -> None:
    merge(two, [("f", Export("00c0ffee00c0ffee", 1, (("hob", "grit", 2026, "cured", 9),)))], NOON)
    before = two.tally("hob", NOON)
    spoil(two, "UPDATE cause_sums SET total = 5 WHERE year = 2026 AND origin = ''", *SPOILT[1:])
    assert two.tally("hob", NOON) != before
    assert sorted(mend(two)) == list(TOLD)
    assert differing(two) == ()
    assert two.tally("hob", NOON) == before
    assert mend(two) == ()


def test_a_journal_that_lacks_a_line_is_told(two: CaseStore) -> None:
    spoil(two, "DELETE FROM entries WHERE case_id = 2 AND number = 4")
    with two.reading() as connection:
        assert journals_of_wrong_length(connection) == ((2, 4, 3),)


def test_cases_are_told_by_symptom_and_by_cause_with_the_first_numbers(store: CaseStore) -> None:
    for cause in ("x", "y", "x", "x"):
        store.confirm(store.open_case("hob", "d", "owner", "", NOON), cause, NOON)
    store.open_case("pump", "d", "owner", "", NOON)
    with store.reading() as connection:
        causes = list(by_confirmed_cause(connection))
        assert causes == [Group("hob", 3, "x"), Group("hob", 1, "y")]
        assert with_numbers(connection, causes[0], most=2) == Group("hob", 3, "x", (1, 3))
        symptoms = list(by_symptom(connection))
        assert symptoms == [Group("hob", 4), Group("pump", 1)]
        assert with_numbers(connection, symptoms[0]) == Group("hob", 4, "", (1, 2, 3, 4))
        assert numbers(connection) == (5, 4, 2)


def test_cases_that_are_yet_to_begin_are_found(store: CaseStore) -> None:
    for days in (0, 1, 3):
        store.open_case("hob", "d", "owner", "", NOON + timedelta(days=days))
    with store.reading() as connection:
        assert opened_after(connection, NOON) == ((3, NOON + timedelta(days=3)),)


# The file ---------------------------------------------------------------------------------------------------


def test_a_sound_file_is_sound(two: CaseStore) -> None:
    assert integrity(two) == ()


def test_a_line_without_a_case_is_told(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with open_store(str(path)) as store:
        store.append(store.open_case("hob", "d", "owner", "", NOON), Entry(NOON, "finding", "a", "yes"))
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DELETE FROM cases")
        connection.commit()
    with open_store(str(path)) as store:
        assert integrity(store) == ("row 1 of entries belongs to no row of cases",)


def test_an_index_that_has_a_row_too_many_is_told(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with open_store(str(path)) as store:
        for _ in range(3):
            store.open_case("hob", "d", "owner", "", NOON)
    with closing(sqlite3.connect(path)) as connection:
        # The index is left out of the list of what there is while a row is deleted, so it keeps that row.
        connection.execute("PRAGMA writable_schema = ON")
        kept = connection.execute(
            "SELECT type, name, tbl_name, rootpage, sql FROM sqlite_master WHERE name = 'cases_by_changed'"
        ).fetchone()
        connection.execute("DELETE FROM sqlite_master WHERE name = 'cases_by_changed'")
        connection.commit()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DELETE FROM cases WHERE id = 2")
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("INSERT INTO sqlite_master VALUES (?, ?, ?, ?, ?)", kept)
        connection.commit()
    with open_store(str(path)) as store:
        assert "wrong # of entries in index cases_by_changed" in integrity(store)


def test_a_page_that_is_scrambled_later_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    open_store(str(path)).close()
    store = open_store(str(path))
    content = path.read_bytes()
    path.write_bytes(content[:4096] + b"\xa5" * (len(content) - 4096))
    with pytest.raises(StoreDamaged), store.reading() as connection:
        differences(connection)
    with pytest.raises(StoreDamaged, match=f"restore COPY --cases {path}$"):
        integrity(store)
    store.close()


# What it costs ----------------------------------------------------------------------------------------------


def test_counting_anew_takes_no_more_statements_and_no_more_memory_with_more_cases(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.cases.checking._AT_ONCE", 100)
    sent, peaks = [], []
    for number in (200, 1600):
        path = tmp_path / f"{number}.sqlite"
        fill(path, number, kinds=1)
        with open_store(str(path)) as store:
            mend(store)
            sent.append(len(statements_of(store, lambda store=store: differing(store))))  # type: ignore[misc]
            tracemalloc.start()
            assert differing(store) == ()
            peaks.append(tracemalloc.get_traced_memory()[1])
            tracemalloc.stop()
    assert sent[0] == sent[1]
    assert peaks[1] < 1.5 * peaks[0]


def test_journals_are_read_in_their_order_without_sorting_them(sqlite_url: str) -> None:
    with open_store(sqlite_url) as store:
        sent = statements_of(store, lambda: differing(store))
        (stream,) = [each for each in sent if "entries" in each[0]]
        with store.reading() as connection:
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {stream[0]}", stream[1]).all()
        # As sqlite.org/eqp.html words it: one table gone through, the other searched by its key, no sorting.
        assert [row[-1].split(" USING ")[0] for row in plan] == ["SCAN cases", "SEARCH entries"]
