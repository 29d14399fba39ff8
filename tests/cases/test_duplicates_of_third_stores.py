"""A case that came by its code to one store counts once for a third that merges what both have of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest

from diagnose.cases.arriving import take_in
from diagnose.cases.by_code import ORIGIN_IN_A_CODE
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.exchange_reading import read_export
from diagnose.cases.merging import merge, standing, take_out
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import CaseStore, open_store
from diagnose.terms import EndedCases, FlawedKnowledge, Tally

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=90)
COUNTED = {"grit": 1.0}, {("grit", "flame", "weak"): 1.0}
ONCE = Tally(*COUNTED, {"referred": EndedCases(1.0, 1.0, *COUNTED)})


@pytest.fixture
def stores(url: str, fresh_url: Callable[[str], str]) -> Iterator[list[CaseStore]]:
    """An owner's store, two workshops' that get its code, and a third that merges their exports."""
    with (
        open_store(url) as owner,
        open_store(fresh_url(url)) as one,
        open_store(fresh_url(url)) as two,
        open_store(fresh_url(url)) as third,
    ):
        yield [owner, one, two, third]


def handed_on(owner: CaseStore, cause: str = "") -> int:
    case = owner.open_case("hob", "d", "owner", "van", NOON)
    owner.append(case, Entry(NOON, "finding", "flame", "weak"))
    owner.end_case(case, "referred", NOON)
    if cause:
        owner.confirm(case, cause, NOON)
    return case


def by_code(owner: CaseStore, workshop: CaseStore, case: int, cause: str) -> None:
    told = owner.case(case)
    tag = owner.origin[:ORIGIN_IN_A_CODE]
    arriving = CaseRecord(
        0,
        "hob",
        "d",
        "owner",
        told.state,
        NOON,
        NOON,
        source=tag,
        source_case=str(case),
        entries=told.entries,
    )
    take_in(workshop, arriving, cause, NOON)


def given_out(store: CaseStore) -> tuple[str, Export]:
    """The export as whoever merges it reads it."""
    return "f", read_export(make_export(store, 2026)[0].text().encode(), "f", 2026)


@pytest.mark.parametrize("known", ["", "grit"])
def test_in_whatever_order_the_files_come_it_counts_once(stores: list[CaseStore], known: str) -> None:
    owner, one, two, third = stores
    case = handed_on(owner, known)
    for workshop in (one, two):
        by_code(owner, workshop, case, "grit")
    files = [given_out(store) for store in (owner, one, two)]
    for order in permutations(files):
        for number in range(1, 4):
            merge(third, order[:number], LATER)
            alone = known == "" and order[:number] == (files[0],)
            assert third.tally("hob", LATER).causes == ({} if alone else ONCE.causes)
        assert third.tally("hob", LATER) == ONCE
        assert sum(each.confirmed for each in standing(third)) == 2 + bool(known)
        for store in (owner, one, two):
            take_out(third, store.origin)
        assert third.tally("hob", LATER) == Tally()


def test_the_owner_who_merges_the_workshops_export_counts_it_once(stores: list[CaseStore]) -> None:
    owner, one, _, third = stores
    case = handed_on(owner)
    by_code(owner, one, case, "grit")
    merge(owner, [given_out(one)], LATER)
    assert owner.tally("hob", LATER) == ONCE
    owner.confirm(case, "frost", LATER)
    assert owner.tally("hob", LATER).causes == {"frost": 1.0}
    by_code(owner, third, case, "")
    merge(third, [given_out(one)], LATER)
    assert third.tally("hob", LATER) == ONCE


def test_another_case_of_the_same_kind_still_counts(stores: list[CaseStore]) -> None:
    owner, one, _, third = stores
    by_code(owner, one, handed_on(owner, "grit"), "grit")
    handed_on(owner, "grit")
    merge(third, [given_out(owner), given_out(one)], LATER)
    assert third.tally("hob", LATER).causes == {"grit": 2.0}


def test_a_threshold_lists_no_single_case_and_without_one_the_form_is_the_earlier(
    stores: list[CaseStore],
) -> None:
    owner, one, *_ = stores
    case = handed_on(owner, "grit")
    assert make_export(owner, 2026)[0].version == 1
    by_code(owner, one, case, "grit")
    made = make_export(one, 2026)[0]
    assert (made.version, made.causes, made.answers) == (2, (), ())
    assert made.by_code == ((owner.origin[:4], case, "hob", "grit", 2026, "referred"),)
    assert made.by_code_answers == ((owner.origin[:4], case, "flame", "weak"),)
    assert make_export(one, 2026, 3)[0].by_code == ()


@pytest.mark.parametrize(
    ("table", "rows", "told"),
    [
        ("by_code", [["1A2b", 1, "hob", "grit", 2026, "cured"]], "source is no 4 hexadecimal digits"),
        ("by_code", [["1a2b", 0, "hob", "grit", 2026, "cured"]], "case is no number from 1 to 2147483647"),
        ("by_code", [["1a2b", 1, "hob", "", 2026, "open"]], "cause is empty, and the case is not over"),
        ("by_code", [["1a2b", 1, "hob", "x", 2026, "cured"]] * 2, "it counts what a row before it counts"),
        ("by_code", [], "by_code is empty: without such cases the version is 1"),
        ("by_code_answers", [["1a2b", 2, "flame", "weak"]], "no case with a cause has this number"),
    ],
)
def test_what_does_not_fit_is_told(table: str, rows: list[list[object]], told: str) -> None:
    export = Export("00c0ffee00c0ffee", 1, by_code=(("1a2b", 1, "hob", "grit", 2026, "cured"),))
    content = json.loads(export.text()) | {table: rows}
    with pytest.raises(FlawedKnowledge) as flaws:
        read_export(json.dumps(content).encode(), "f", 2026)
    assert told in str(flaws.value.flaws[0].message)
