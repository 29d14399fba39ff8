"""A case that came by its code and is in the merged sums of its own store counts once.

The laws are asked of made-up pairs of stores against a plain list of the cases that there really are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from diagnose.cases.arriving import take_in
from diagnose.cases.by_code import ORIGIN_IN_A_CODE
from diagnose.cases.checking import differences
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import forget
from diagnose.cases.journal import Counted
from diagnose.cases.merging import merge, take_out
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import CaseStore, open_store
from diagnose.cases.sums import add_to_sums, move_sums, read_tally
from diagnose.cases.tables import cases, cause_sums, key_of_vehicle, merged, unconfirmed_sums
from diagnose.knowledge.collection import Library
from diagnose.terms import EndedCases, State, Tally
from diagnose.walking.case_codes import code_of
from diagnose.walking.returned import close, look_up
from tests.cases.test_costs import statements_of

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=90)
Stores = tuple[CaseStore, CaseStore]


@pytest.fixture
def both(url: str, fresh_url: Callable[[str], str]) -> Iterator[Stores]:
    """The store in which cases are opened, and the workshop's, to which their codes come."""
    with open_store(url) as theirs, open_store(fresh_url(url)) as ours:
        yield theirs, ours


def handed_on(theirs: CaseStore, flame: str = "weak", state: State = "referred") -> int:
    case = theirs.open_case("hob", "d", "owner", "van", NOON)
    theirs.append(case, Entry(NOON, "finding", "flame", flame))
    theirs.end_case(case, state, NOON)
    return case


def by_code(stores: Stores, case: int, cause: str, now: datetime = NOON) -> CaseRecord:
    """What the workshop does with the case's code: it opens the case, confirmed."""
    theirs, ours = stores
    told = theirs.case(case)
    arriving = CaseRecord(
        0, "hob", "d", "owner", told.state, NOON.replace(day=1, hour=0), now,
        source=theirs.origin[:ORIGIN_IN_A_CODE], source_case=str(case), entries=told.entries,
    )  # fmt: skip
    return take_in(ours, arriving, cause, now)


def merged_at(stores: Stores, now: datetime = LATER) -> None:
    theirs, ours = stores
    merge(ours, [("f", make_export(theirs, 2026)[0])], now)


def tally(store: CaseStore) -> Tally:
    with store.reading() as connection:
        assert differences(connection) == ()  # what is settled at the reading leaves the sums alone
    return store.tally("hob", LATER)


def once(cause: str = "grit", number: float = 1.0) -> Tally:
    counted = {cause: number}, {(cause, "flame", "weak"): number}
    return Tally(*counted, {"referred": EndedCases(number, number, *counted)})


def test_what_both_stores_know_counts_once(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    theirs.confirm(case, "grit", NOON)
    by_code(both, case, "grit")
    assert tally(ours) == once()
    merged_at(both)
    assert tally(ours) == once()
    take_out(ours, theirs.origin)
    assert tally(ours) == once()


def test_the_code_may_come_after_the_export(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    theirs.confirm(case, "grit", NOON)
    merged_at(both)
    mine = by_code(both, case, "grit", LATER)
    assert tally(ours) == once()
    forget(ours, [mine.case])
    assert tally(ours) == once()


def test_an_outcome_that_only_the_workshop_knows_counts_in_place_of_the_unknown_one(both: Stores) -> None:
    theirs, ours = both
    by_code(both, handed_on(theirs), "grit")
    merged_at(both)
    assert tally(ours) == once()


def test_a_later_export_that_knows_it_too_changes_nothing(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    by_code(both, case, "grit")
    merged_at(both)
    theirs.confirm(case, "grit", LATER)
    merged_at(both)
    assert tally(ours) == once()


def test_told_otherwise_in_its_own_store_that_has_the_last_word(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    theirs.confirm(case, "frost", NOON)
    by_code(both, case, "grit")
    merged_at(both)
    assert tally(ours) == once("frost")
    take_out(ours, theirs.origin)
    assert tally(ours) == once("grit")


def test_a_case_that_the_export_cannot_have_counts(both: Stores) -> None:
    theirs, ours = both
    theirs.confirm(handed_on(theirs), "grit", NOON)
    merged_at(both, NOON - timedelta(days=30))  # it came before the case was opened
    by_code(both, handed_on(theirs), "grit")
    assert tally(ours) == once(number=2.0)
    assert ours.tally("pump", LATER).total == 0


def test_a_case_whose_cause_is_put_right_here_still_counts_once(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    theirs.confirm(case, "grit", NOON)
    mine = by_code(both, case, "frost")
    merged_at(both)
    ours.confirm(mine.case, "grit", LATER)
    assert tally(ours) == once()


def test_cases_of_another_store_and_symptom_are_not_touched(both: Stores) -> None:
    theirs, ours = both
    theirs.confirm(handed_on(theirs), "grit", NOON)
    merged_at(both)
    for source, number in (("0000" if theirs.origin[:4] != "0000" else "1111", "1"), ("fleet", "2")):
        record = CaseRecord(0, "hob", "d", "owner", "referred", NOON, NOON, source=source, source_case=number)
        take_in(ours, record, "grit", NOON)
    assert tally(ours).causes == {"grit": 3.0}


def test_a_job_history_whose_source_looks_like_the_name_of_a_store_counts(both: Stores) -> None:
    theirs, ours = both
    theirs.confirm(handed_on(theirs), "grit", NOON)
    merged_at(both)
    record = CaseRecord(
        0, "hob", "d", "owner", "referred", NOON, NOON, source=theirs.origin[:4], source_case="J-17"
    )
    take_in(ours, record, "grit", NOON)
    assert tally(ours).causes == {"grit": 2.0}


def test_a_real_code_and_the_export_of_its_store_count_once(both: Stores) -> None:
    theirs, _ = both
    library = Library()
    tree = library.tree("water-pump")
    cause = "+".join(tree.cut_sets[0])
    case = theirs.open_case("water-pump", tree.digest, "owner", "van", NOON)
    theirs.end_case(case, "referred", NOON)
    code = code_of(theirs.case(case), tree, theirs.origin)
    for store in both:
        close(look_up(code, store, library), store, cause, NOON)
    merged_at(both)
    for store in both:
        assert store.tally("water-pump", LATER).causes == {cause: 1.0}


def test_a_case_that_ended_otherwise_since_its_code_was_given_out_counts_once(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs, state="cured")
    by_code(both, case, "grit")
    theirs.reopen(case, NOON)
    theirs.end_case(case, "referred", NOON)
    merged_at(both)
    assert tally(ours).causes == {"grit": 1.0}
    assert sum(each.ended for each in tally(ours).endings.values()) == 1.0
    theirs.confirm(case, "frost", LATER)
    merged_at(both)
    assert tally(ours) == once("frost")


def test_a_case_that_came_before_its_outcome_counts_once_and_is_confirmed_later(both: Stores) -> None:
    theirs, ours = both
    case = handed_on(theirs)
    mine = by_code(both, case, "")
    unknown = Tally({}, {}, {"referred": EndedCases(1.0, 0.0)})
    assert (mine.confirmed, mine.asked_outcome, tally(ours)) == (False, False, unknown)
    assert by_code(both, case, "") == mine
    merged_at(both)
    assert tally(ours) == unknown
    theirs.confirm(case, "grit", NOON)
    merged_at(both)
    assert tally(ours) == once()
    assert by_code(both, case, "frost", LATER).case == mine.case
    take_out(ours, theirs.origin)
    assert tally(ours) == once("frost")


def test_it_is_found_by_an_index_however_many_cases_there_are(sqlite_url: str) -> None:
    # SQLite's own planner (sqlite.org/eqp.html) tells.
    with open_store(sqlite_url) as store:
        with store.writing() as connection:
            connection.execute(
                merged.insert(), {"origin": ORIGIN, "number": 1, "digest": "", "received": NOON}
            )
        sent = [
            each for each in statements_of(store, lambda: store.tally("hob", NOON)) if "FROM cases" in each[0]
        ]
        with store.reading() as connection:
            plans = [
                connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {each[0]}", each[1]).all() for each in sent
            ]
    assert len(plans) == 1
    assert not [row for row in plans[0] if row[-1].startswith("SCAN")]


# The laws ---------------------------------------------------------------------------------------------------

causes = st.sampled_from(["grit", "frost"])
real_case = st.tuples(
    st.sampled_from([2024, 2025]),
    st.sampled_from(["cured", "referred"]),
    st.none() | causes,  # what its own store knows
    st.none() | st.just("") | causes,  # what the workshop knows by its code; "" is not yet confirmed there
)
ORIGIN = "00c0ffee00c0ffee"


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CaseStore]:
    with open_store(str(tmp_path_factory.mktemp("laws") / "cases.sqlite")) as store:
        yield store


def laid_out(connection: Connection, real: list[tuple[int, State, str | None, str | None]]) -> None:
    """The export of the cases' own store merged, and those whose outcome came by a code."""
    values = {column.name: "" for column in cases.columns if column.name != "id"}
    for number, (year, state, told, heard) in enumerate(real, 1):
        if told:
            add_to_sums(connection, cause_sums, {("hob", told, year, state): 1}, ORIGIN)
        else:
            add_to_sums(connection, unconfirmed_sums, {("hob", year, state): 1}, ORIGIN)
        if heard is not None:
            opened = datetime(year, 5, 1, tzinfo=UTC)
            own = {"symptom": "hob", "state": state, "cause": heard, "opened": opened, "changed": opened}
            own |= {"confirmed": bool(heard), "confirmed_on": opened, "asked_outcome": True, "lines": 0}
            own |= {"source": ORIGIN[:4], "source_case": str(number), "confirmed_lines": 0}
            connection.execute(cases.insert().values(values | own | {"vehicle_key": key_of_vehicle("")}))
            if heard:
                move_sums(connection, None, Counted("hob", heard, year, state, {}))
            else:
                add_to_sums(connection, unconfirmed_sums, {("hob", year, state): 1})
    connection.execute(merged.insert(), {"origin": ORIGIN, "number": 1, "digest": "", "received": NOON})


@settings(max_examples=50)
@given(real=st.lists(real_case, max_size=7))
def test_every_case_that_there_is_counts_once(
    workshop: CaseStore, real: list[tuple[int, State, str | None, str | None]]
) -> None:
    with workshop.writing() as connection:
        undone = connection.begin_nested()
        laid_out(connection, real)
        counted = read_tally(connection, "hob", NOON, None)
        undone.rollback()
    ended: Counter[str] = Counter(state for _, state, _, _ in real)
    assert sum(each.ended for each in counted.endings.values()) == ended.total()
    for cause in ("grit", "frost"):
        said = sum(cause in (told, heard) for *_, told, heard in real)
        told = sum(cause == told for *_, told, _ in real)
        assert told <= counted.causes.get(cause, 0.0) <= said
    only_here = [heard for *_, told, heard in real if heard and not told]
    if not any(told for *_, told, _ in real):
        assert counted.causes == Counter(only_here)
