"""What a journal comes to."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.journal import Counted, change_of_sums, counted_answers, findings, standing
from diagnose.cases.records import Entry

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def journal(*lines: tuple[str, str] | tuple[str, str, str]) -> tuple[Entry, ...]:
    return tuple(
        Entry(NOON, line[0], line[1], line[2] if len(line) == 3 else None, number=number)  # type: ignore[arg-type]
        for number, line in enumerate(lines, 1)
    )


def numbers(entries: tuple[Entry, ...]) -> list[int]:
    return [entry.number for entry in entries]


def test_a_line_taken_back_stands_no_more() -> None:
    lines = journal(("finding", "a", "yes"), ("finding", "b", "no"), ("back", "2"))
    assert numbers(standing(lines)) == [1]


def test_taking_back_a_going_back_brings_the_line_back() -> None:
    lines = journal(("finding", "a", "yes"), ("back", "1"), ("back", "2"))
    assert numbers(standing(lines)) == [1]
    assert counted_answers(lines) == {"a": "yes"}


def test_the_latest_answer_of_a_check_is_the_one_that_counts() -> None:
    lines = journal(("finding", "a", "yes"), ("finding", "b", "no"), ("finding", "a", "no"))
    assert counted_answers(lines) == {"a": "no", "b": "no"}
    assert numbers(findings(lines)) == [2, 3]


def test_a_latest_answer_taken_back_gives_way_to_the_one_before() -> None:
    lines = journal(("finding", "a", "yes"), ("finding", "a", "no"), ("back", "2"))
    assert counted_answers(lines) == {"a": "yes"}


def test_not_sure_is_a_finding_yet_counts_for_nothing() -> None:
    lines = journal(("finding", "a", "yes"), ("finding", "a", "not-sure"), ("finding", "b", "not-sure"))
    assert numbers(findings(lines)) == [2, 3]
    assert counted_answers(lines) == {}


def test_what_lost_its_place_in_the_tree_stands_no_more_until_it_is_found_anew() -> None:
    lines = journal(("finding", "a", "yes"), ("tried", "c", "not-cured"), ("dropped", "a"), ("dropped", "c"))
    assert numbers(standing(lines)) == [3, 4]
    again = (*lines, Entry(NOON, "finding", "a", "no", number=5))
    assert counted_answers(again) == {"a": "no"}


def test_other_lines_are_no_findings() -> None:
    lines = journal(
        ("shown", "gas"),
        ("tried", "c", "cured"),
        ("cured-when", "c", "yes"),
        ("resumed", ""),
        ("cleared", "", "yes"),
    )
    assert numbers(standing(lines)) == [1, 2, 3, 4, 5]
    assert findings(lines) == ()


counted = st.none() | st.builds(
    Counted,
    st.sampled_from(["hob", "pump"]),
    st.sampled_from(["a", "a+b", "not-listed"]),
    st.sampled_from([2025, 2026]),
    st.sampled_from(["cured", "referred"]),
    st.dictionaries(st.sampled_from(["k", "m"]), st.sampled_from(["yes", "no"])),
)


@given(counted)
def test_a_case_that_counts_as_before_moves_no_sum(case: Counted | None) -> None:
    assert change_of_sums(case, case) == ({}, {})


@given(counted, counted, counted)
def test_moving_twice_is_moving_once_to_the_end(
    a: Counted | None, b: Counted | None, c: Counted | None
) -> None:
    for kind in (0, 1):
        first, second, both = (change_of_sums(*pair)[kind] for pair in ((a, b), (b, c), (a, c)))
        added = {key: first.get(key, 0) + second.get(key, 0) for key in (*first, *second)}
        assert {key: total for key, total in added.items() if total} == both
