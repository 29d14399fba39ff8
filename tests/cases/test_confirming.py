"""Confirmed cases and the sums over them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store
from diagnose.cases.sums import weight
from diagnose.cases.tables import answer_sums, cause_sums, unconfirmed_sums
from diagnose.terms import EndedCases, Tally

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
Found = Callable[..., Entry]


def sums(store: CaseStore) -> tuple[dict[tuple[object, ...], int], dict[tuple[object, ...], int]]:
    """What the tables hold, zeros left out: key -> count."""
    with store._reading.begin() as connection:
        causes, answers = (connection.execute(select(table)).all() for table in (cause_sums, answer_sums))
    assert {row.origin for row in (*causes, *answers)} <= {""}
    return {tuple(r[:-2]): r[-1] for r in causes if r[-1]}, {tuple(r[:-2]): r[-1] for r in answers if r[-1]}


def unconfirmed(store: CaseStore) -> dict[tuple[object, ...], int]:
    """The sums over cases that are over and that nobody has confirmed, zeros left out."""
    with store.reading() as connection:
        return {tuple(r[:-2]): r[-1] for r in connection.execute(select(unconfirmed_sums)) if r[-1]}


def summed(store: CaseStore) -> Tally:
    """The sums over all endings of the one symptom."""
    return replace(store.tally("hob", NOON), endings={})


def test_a_confirmed_case_counts_once_under_its_cause_and_its_answers(store: CaseStore, found: Found) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    for line in (
        found("a", "yes"),
        found("b", "not-sure"),
        found("volts", "low", 11.2),
        found("a", "no"),
        found("c", "yes"),
        Entry(NOON, "back", "5"),
        found("regulator", "not-cured", kind="tried"),
    ):
        store.append(case, line)
    store.end_case(case, "referred", NOON)
    assert summed(store) == Tally()
    confirmed = store.confirm(case, "regulator", NOON)
    assert (confirmed.confirmed, confirmed.cause, confirmed.state) == (True, "regulator", "referred")
    once = Tally(
        causes={"regulator": 1.0},
        answers={("regulator", "a", "no"): 1.0, ("regulator", "volts", "low"): 1.0},
    )
    assert summed(store) == once
    store.append(case, found("d", "yes"))
    store.confirm(case, "regulator", NOON + timedelta(days=1))
    assert summed(store) == once
    assert store.tally("pump", NOON) == Tally()


def test_confirming_with_another_cause_moves_the_sums(store: CaseStore, found: Found) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    store.append(case, found("a", "yes"))
    store.confirm(case, "regulator", NOON)
    store.append(case, found("b", "no"))
    store.confirm(case, "hose+clip", NOON)
    assert summed(store) == Tally(
        causes={"hose+clip": 1.0}, answers={("hose+clip", "a", "yes"): 1.0, ("hose+clip", "b", "no"): 1.0}
    )
    store.confirm(case, "not-listed", NOON)
    assert store.tally("hob", NOON).causes == {"not-listed": 1.0}
    assert store.tally("hob", NOON).total == 1.0


def test_the_sums_of_a_case_confirmed_while_open_follow_it_to_its_end(store: CaseStore, found: Found) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    store.append(case, found("a", "yes"))
    store.confirm(case, "x", NOON)
    assert sums(store)[0] == {("hob", "x", 2026, "open"): 1}
    store.append(case, found("a", "no"))
    store.end_case(case, "cured", NOON)
    assert sums(store)[0] == {("hob", "x", 2026, "cured"): 1}
    assert sums(store)[1] == {("hob", "x", "a", "yes", 2026, "cured"): 1}
    store.reopen(case, NOON)
    assert sums(store)[0] == {("hob", "x", 2026, "open"): 1}


def test_a_case_counts_under_the_year_in_which_it_was_opened(store: CaseStore) -> None:
    case = store.open_case("hob", "d", "owner", "", datetime(2024, 12, 31, 23, tzinfo=UTC))
    store.confirm(case, "x", NOON)
    assert sums(store)[0] == {("hob", "x", 2024, "open"): 1}


def test_a_confirmation_without_a_cause_is_not_taken(store: CaseStore) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    with pytest.raises(ValueError, match="confirmed with a cause"):
        store.confirm(case, "", NOON)
    assert not store.case(case).confirmed


def test_older_cases_count_less_with_a_half_life(store: CaseStore, found: Found) -> None:
    # Half-lives: exponential decay, N = N0 * 0.5 ** (t / T), any school book of physics.
    for year in (2026, 2024, 2022):
        case = store.open_case("hob", "d", "owner", "", datetime(year, 5, 1, tzinfo=UTC))
        store.append(case, found("a", "yes"))
        store.confirm(case, "x", NOON)
    middle = datetime(2026, 7, 2, 12, tzinfo=UTC)
    assert store.tally("hob", middle).causes == {"x": 3.0}
    assert store.tally("hob", middle, 2.0).causes == {"x": pytest.approx(1 + 1 / 2 + 1 / 4, abs=1e-12)}
    assert store.tally("hob", middle, 2.0).answers == {("x", "a", "yes"): pytest.approx(1.75, abs=1e-12)}


def test_a_tally_says_how_many_cases_ended_in_which_way_and_which_are_confirmed(
    store: CaseStore, found: Found
) -> None:
    for number, state in enumerate(("cured", "referred", "referred", "left-off", "stopped", "open", "cured")):
        case = store.open_case("hob" if number < 6 else "pump", "d", "owner", "", NOON)
        store.append(case, found("a", "yes"))
        if state != "open":
            store.end_case(case, state, NOON)  # type: ignore[arg-type]
        if number in (0, 1, 5):
            store.confirm(case, f"x{number}", NOON)
    endings = store.tally("hob", NOON).endings
    assert endings == {
        "cured": EndedCases(1.0, 1.0, {"x0": 1.0}, {("x0", "a", "yes"): 1.0}),
        "open": EndedCases(1.0, 1.0, {"x5": 1.0}, {("x5", "a", "yes"): 1.0}),
        "referred": EndedCases(2.0, 1.0, {"x1": 1.0}, {("x1", "a", "yes"): 1.0}),
        "stopped": EndedCases(1.0, 0.0),
    }
    assert store.tally("pump", NOON).endings == {"cured": EndedCases(1.0, 0.0)}


def test_the_parts_by_ending_come_to_the_whole_and_decay_with_it(store: CaseStore, found: Found) -> None:
    for number in range(12):
        opened = datetime(2023 + number % 3, 5, 1, tzinfo=UTC)
        case = store.open_case("hob", "d", "owner", "", opened)
        store.append(case, found("a", ("yes", "no")[number % 2]))
        store.end_case(case, ("cured", "referred")[number % 4 // 2], NOON)  # type: ignore[arg-type]
        if number % 5:
            store.confirm(case, f"x{number % 2}", NOON)
    tally = store.tally("hob", datetime(2026, 7, 2, 12, tzinfo=UTC), 2.0)
    for cause, count in tally.causes.items():
        parts = [each.causes.get(cause, 0.0) for each in tally.endings.values()]
        assert sum(parts) == pytest.approx(count, abs=1e-12)
    for answer, count in tally.answers.items():
        parts = [each.answers.get(answer, 0.0) for each in tally.endings.values()]
        assert sum(parts) == pytest.approx(count, abs=1e-12)
    # Four cases of each year: ages 3, 2 and 1 at a half-life of 2 (exponential decay, any school book).
    ended = sum(each.ended for each in tally.endings.values())
    assert ended == pytest.approx(4 * (0.5**1.5 + 0.5 + 0.5**0.5), abs=1e-12)
    assert sum(each.confirmed for each in tally.endings.values()) == pytest.approx(tally.total, abs=1e-12)


def test_the_age_of_a_year_is_taken_from_its_middle_and_never_below_none() -> None:
    assert weight(2026, datetime(2026, 2, 1, tzinfo=UTC), 1.0) == 1.0
    assert weight(2027, datetime(2026, 2, 1, tzinfo=UTC), 1.0) == 1.0
    assert weight(2025, datetime(2026, 1, 1, tzinfo=UTC), 0.5) == pytest.approx(0.5)
    assert weight(1980, datetime(2026, 1, 1, tzinfo=UTC), None) == 1.0
    for none in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="is not above zero"):
            weight(2025, NOON, none)


def test_decay_gives_the_worked_sum_of_three_ages() -> None:
    # Ages 0.5, 1.5 and 3 years at a half-life of 2: .8409 + .5946 + .3536 = 1.7891, worked by hand.
    total = weight(2025, datetime(2026, 1, 1, tzinfo=UTC), 2.0) + weight(
        2024, datetime(2026, 1, 1, tzinfo=UTC), 2.0
    )
    total += weight(2023, datetime(2026, 7, 2, 12, tzinfo=UTC), 2.0)
    assert total == pytest.approx(1.7891, abs=5e-5)


def recount(store: CaseStore) -> tuple[dict[tuple[object, ...], int], dict[tuple[object, ...], int]]:
    """The sums as they should be, by going through every case; written apart from the code under test."""
    causes: Counter[tuple[object, ...]] = Counter()
    answers: Counter[tuple[object, ...]] = Counter()
    for case in store.cases(confirmed=True):
        year = case.opened.year
        causes[case.symptom, case.cause, year, case.state] += 1
        latest: dict[str, str | None] = {}
        undone = {int(line.subject) for line in case.entries if line.kind == "back"}
        for line in case.entries:
            if line.kind == "finding" and line.number not in undone:
                latest[line.subject] = line.answer
        for check, answer in latest.items():
            if answer != "not-sure":
                answers[case.symptom, case.cause, check, answer, year, case.state] += 1
    return dict(causes), dict(answers)


def recount_of_unconfirmed(store: CaseStore) -> dict[tuple[object, ...], int]:
    """The sums over the cases that are over and unconfirmed, by going through every case."""
    over = [each for each in store.cases(confirmed=False) if each.state in ("cured", "referred", "stopped")]
    return dict(Counter((each.symptom, each.opened.year, each.state) for each in over))


deeds = st.lists(
    st.one_of(
        st.tuples(st.just("open"), st.sampled_from(["hob", "pump"]), st.sampled_from([2024, 2025, 2026])),
        st.tuples(
            st.just("find"),
            st.integers(0, 3),
            st.sampled_from("abc"),
            st.sampled_from(["y", "n", "not-sure"]),
        ),
        st.tuples(st.just("back"), st.integers(0, 3)),
        st.tuples(st.just("confirm"), st.integers(0, 3), st.sampled_from(["x", "y+z", "not-listed"])),
        st.tuples(
            st.just("end"), st.integers(0, 3), st.sampled_from(["cured", "referred", "left-off", "stopped"])
        ),
        st.tuples(st.just("reopen"), st.integers(0, 3)),
    ),
    max_size=30,
)


def do(store: CaseStore, deed: tuple[object, ...], cases: list[int]) -> None:
    """One deed. Findings come only before the confirmation, so that a recount sees the same journal."""
    if deed[0] == "open":
        opened = datetime(int(str(deed[2])), 6, 1, tzinfo=UTC)
        cases.append(store.open_case(str(deed[1]), "d", "owner", "", opened))
        return
    if not cases:
        return
    case = cases[int(str(deed[1])) % len(cases)]
    record = store.case(case)
    if deed[0] == "find" and not record.confirmed:
        store.append(case, Entry(NOON, "finding", str(deed[2]), str(deed[3])))
    elif deed[0] == "back" and not record.confirmed and record.entries and record.entries[-1].kind != "back":
        store.append(case, Entry(NOON, "back", str(record.entries[-1].number)))
    elif deed[0] == "confirm":
        store.confirm(case, str(deed[2]), NOON)
    elif deed[0] == "end" and record.state != "stopped":
        store.end_case(case, deed[2], NOON)  # type: ignore[arg-type]
    elif deed[0] == "reopen" and record.state != "stopped":
        store.reopen(case, NOON)


@settings(max_examples=25)
@given(deeds)
def test_whatever_is_done_the_sums_are_those_of_a_recount(done: list[tuple[object, ...]]) -> None:
    with TemporaryDirectory() as folder, open_store(str(Path(folder) / "cases.sqlite")) as store:
        cases: list[int] = []
        for deed in done:
            do(store, deed, cases)
        assert sums(store) == recount(store)
        assert unconfirmed(store) == recount_of_unconfirmed(store)


def test_on_a_server_too_the_sums_are_those_of_a_recount(postgresql_url: str) -> None:
    with open_store(postgresql_url) as store:
        cases: list[int] = []
        for n in range(60):
            kind = ("open", "find", "find", "confirm", "end", "confirm", "back", "reopen")[n % 8]
            rest: tuple[object, ...] = {
                "open": (("hob", "pump")[n % 3 % 2], 2024 + n % 3),
                "find": (n, "abc"[n % 3], ("y", "n", "not-sure")[n % 5 % 3]),
                "confirm": (n // 3, ("x", "y+z", "not-listed")[n % 7 % 3]),
                "end": (n // 2, ("cured", "referred", "left-off")[n % 3]),
                "back": (n,),
                "reopen": (n // 5,),
            }[kind]
            do(store, (kind, *rest), cases)
        assert sum(sums(store)[0].values()) > 3
        assert sums(store) == recount(store)
        assert unconfirmed(store) == recount_of_unconfirmed(store)
