"""A list of cases is read in parts and counted from the sums, which comes to the same as all at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import product

import pytest

from diagnose.cases import browsing
from diagnose.cases.adding import KnownCase, add_known, already_there
from diagnose.cases.browsing import checks_found, counted, listed
from diagnose.cases.journal import findings
from diagnose.cases.records import Entry
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import CaseStore, open_store
from diagnose.terms import Finding
from tests.cases.test_costs import statements_of

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
STATES = ("open", "left-off", "cured", "referred", "stopped")


def filled(store: CaseStore) -> None:
    """Cases of every state, confirmed and not, of two symptoms, over two years, some at one moment."""
    for number, (state, sure, symptom) in enumerate(product(STATES, (False, True), ("hob", "pump"))):
        opened = NOON + timedelta(days=100 * (number // 3))
        case = store.open_case(symptom, "d", "owner", ("", "van 7", "Van 8")[number % 3], opened)
        store.append(case, Entry(opened, "finding", "a", "yes"))
        store.append(case, Entry(opened, "finding", "b", "no"))
        store.append(case, Entry(opened, "back", "2"))
        store.append(case, Entry(opened, "tried", "x", "not-cured"))
        if state != "open":
            store.end_case(case, state, opened)
        if sure:
            store.confirm(case, ("x", "y", "not-listed")[number % 3], opened)
    add_known(store, KnownCase("hob", "d", "x", "cured", NOON, "van 7", (Finding("c", "no"),)), NOON)


WANTED = [
    Wanted(),
    Wanted(symptom="hob"),
    Wanted(symptom="nothing"),
    Wanted(states=("referred", "stopped"), confirmed=False, oldest_first=True),
    Wanted(states=("open", "left-off")),
    Wanted(confirmed=True),
    Wanted(confirmed=False, symptom="pump"),
    Wanted(cause="x"),
    Wanted(cause="x", symptom="hob", states=("cured",)),
    Wanted(cause="x", confirmed=False),
    Wanted(vehicle="van 7"),
    Wanted(vehicle=""),
    Wanted(opened_from=NOON + timedelta(days=150), opened_before=NOON + timedelta(days=400)),
    Wanted(own=True, states=("cured",)),
]


def test_it_comes_to_the_same_as_all_cases_at_once(store: CaseStore, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(store)
    monkeypatch.setattr(browsing, "AT_ONCE", 4)
    for wanted in WANTED:
        every = store.cases(wanted)
        shown = list(listed(store, wanted, with_findings=True))
        assert [each.record.case for each in shown] == [record.case for record in every]
        assert [each.findings for each in shown] == [findings(record.entries) for record in every]
        assert counted(store, wanted) == Counter((record.state, record.confirmed) for record in every), wanted
        in_journals = {line.subject for record in every for line in record.entries if line.kind == "finding"}
        assert set(checks_found(store, wanted)) == in_journals
    for limit in (0, 1, 4, 5, 8, 100):
        some = [each.record.case for each in listed(store, Wanted(limit=limit))]
        assert some == [record.case for record in store.cases(limit=limit)]
        assert sum(counted(store, Wanted(limit=limit)).values()) == 21, "whatever the limit"


def test_an_empty_store_has_nothing_to_list(store: CaseStore) -> None:
    assert list(listed(store, Wanted(), with_findings=True)) == []
    assert counted(store, Wanted()) == {}
    assert checks_found(store, Wanted()) == ()


def test_the_newest_cases_and_their_number_are_found_by_an_index(sqlite_url: str) -> None:
    """EXPLAIN QUERY PLAN (sqlite.org/eqp.html): a table is neither sorted nor gone through from end to end.

    What is read in the order of an index stops at the limit, so that SCAN is none of the whole table.
    """
    with open_store(sqlite_url) as store:
        add_known(store, KnownCase("hob", "d", "x", "cured", NOON, "van 7"), NOON)
        deeds: dict[str, Callable[[], object]] = {
            "newest": lambda: list(listed(store, Wanted(limit=50), with_findings=True)),
            "of a symptom": lambda: list(listed(store, Wanted(symptom="hob", limit=50))),
            "of a vehicle": lambda: list(listed(store, Wanted(vehicle="van 7", limit=50))),
            "since": lambda: list(listed(store, Wanted(opened_from=NOON, limit=50))),
            "logged already": lambda: already_there(
                store, KnownCase("hob", "d", "x", "cured", NOON, "van 7")
            ),
            "number": lambda: counted(store, Wanted()),
            "number of a symptom": lambda: counted(store, Wanted(symptom="hob")),
            "number waiting": lambda: counted(store, Wanted(states=("referred", "stopped"), confirmed=False)),
        }
        for name, deed in deeds.items():
            sent = statements_of(store, deed)
            assert sent, name
            with store._engine.begin() as connection:
                for statement, values in sent:
                    plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
                    steps = [row[-1] for row in plan]
                    in_order = "LIMIT" in statement and "SCAN cases USING INDEX cases_by_opened" in steps
                    of_cases = [step for step in steps if step.startswith(("SCAN cases", "SCAN entries"))]
                    assert not of_cases or in_order, f"{name}: {statement}: {steps}"
                    if "FROM cases" in statement and "vehicle_key =" not in statement:  # it has but a few
                        assert not any("ORDER BY" in step for step in steps), f"{name}: {steps}"
