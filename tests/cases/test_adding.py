"""A case that nobody walked is written down once, confirmed and counted, or not at all."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from diagnose.cases.adding import KnownCase, add_known, already_there
from diagnose.cases.store import CaseStore
from diagnose.terms import Finding

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
FOUND = (Finding("squeak", "yes"), Finding("volts", "low", 11.2, 0.1), Finding("horn", "not-sure"))


def known(**fields: object) -> KnownCase:
    given = {"symptom": "step", "tree_digest": "d", "cause": "grit", "state": "cured", "opened": NOON}
    return KnownCase(**(given | fields))  # type: ignore[arg-type]


def test_it_is_confirmed_and_counted_once_with_what_was_found(store: CaseStore) -> None:
    number = add_known(store, known(vehicle="van 7", findings=FOUND), NOON + timedelta(hours=1))
    record = store.case(number)
    assert (record.symptom, record.state, record.role, record.vehicle) == (
        "step",
        "cured",
        "technician",
        "van 7",
    )
    assert (record.confirmed, record.cause, record.opened, record.source) == (True, "grit", NOON, "")
    assert [(line.subject, line.answer, line.value, line.ahead) for line in record.entries] == [
        ("squeak", "yes", None, True),
        ("volts", "low", 11.2, True),
        ("horn", "not-sure", None, True),
    ]
    tally = store.tally("step", NOON)
    assert tally.causes == {"grit": 1.0}
    assert tally.answers == {("grit", "squeak", "yes"): 1.0, ("grit", "volts", "low"): 1.0}
    assert tally.endings["cured"].confirmed == tally.endings["cured"].ended == 1.0


def test_the_same_ways_lead_on_from_it_as_from_a_walk(store: CaseStore) -> None:
    number = add_known(store, known(findings=FOUND), NOON)
    assert store.awaiting_outcome() is None
    store.confirm(number, "rust", NOON)
    tally = store.tally("step", NOON)
    assert tally.causes == {"rust": 1.0}
    assert tally.answers[("rust", "volts", "low")] == 1.0
    store.reopen(number, NOON)
    assert store.tally("step", NOON).endings["open"].causes == {"rust": 1.0}


def test_the_year_counts_as_the_store_has_it(store: CaseStore) -> None:
    # New Year's morning in the east is still the old year in UTC, by which sums are kept.
    east = datetime(2027, 1, 1, 3, tzinfo=timezone(timedelta(hours=9)))
    number = add_known(store, known(opened=east), NOON)
    store.confirm(number, "rust", NOON)
    assert store.tally("step", NOON).causes == {"rust": 1.0}, (
        "had it been counted elsewhere, both would stand"
    )
    assert store.case(number).opened.year == 2026


def test_when_it_cannot_be_counted_it_is_not_written_either(
    store: CaseStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("no sums today")

    monkeypatch.setattr("diagnose.cases.adding.move_sums", fails)
    with pytest.raises(RuntimeError, match="no sums"):
        add_known(store, known(findings=FOUND), NOON)
    assert store.cases() == ()


def test_the_same_vehicle_cause_and_day_is_known_again(store: CaseStore) -> None:
    number = add_known(store, known(vehicle="Van 7"), NOON)
    assert already_there(store, known(vehicle="van 7 ", opened=NOON + timedelta(hours=5))) == number
    assert already_there(store, known(vehicle="van 7", opened=NOON + timedelta(days=1))) is None
    assert already_there(store, known(vehicle="van 7", cause="rust")) is None
    assert already_there(store, known(vehicle="van 8")) is None
    add_known(store, known(), NOON)
    assert already_there(store, known()) is None, "vehicles without a label are not known again"
