"""Cases of somebody else's: taken in once, counted once, on either database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from threading import Barrier

import pytest

from diagnose.cases.arriving import arrived, take_in
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import open_store

MAY = datetime(2025, 5, 1, tzinfo=UTC)
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LINES = (
    Entry(MAY, "finding", "hob-flame", "weak"),
    Entry(MAY, "finding", "volts", "not-sure"),
    Entry(MAY, "tried", "cylinder-empty", "not-cured"),
)
THEIRS = CaseRecord(
    0, "heater", "digest", "owner", "referred", MAY, NOON, source="3fa9", source_case="7", entries=LINES
)


def test_a_case_comes_in_confirmed_and_counts_in_the_year_in_which_it_was_opened(store):
    kept = take_in(store, THEIRS, "regulator", NOON)
    assert (kept.source, kept.source_case, kept.state, kept.confirmed) == ("3fa9", "7", "referred", True)
    assert (kept.cause, kept.opened, kept.changed, kept.asked_outcome) == ("regulator", MAY, NOON, True)
    assert [(line.number, line.kind, line.subject) for line in kept.entries] == [
        (1, "finding", "hob-flame"),
        (2, "finding", "volts"),
        (3, "tried", "cylinder-empty"),
    ]
    tally = store.tally("heater", NOON)
    assert tally.causes == {"regulator": 1.0}
    assert tally.answers == {("regulator", "hob-flame", "weak"): 1.0}
    assert tally.endings["referred"].ended == tally.endings["referred"].confirmed == 1.0
    assert store.tally("heater", NOON, half_life=1.0).causes["regulator"] == pytest.approx(
        0.5 ** (2 / 3), abs=0.01
    )
    assert arrived(store, "3fa9", "7") == kept


def test_the_same_case_counts_once_and_another_cause_moves_it(store):
    take_in(store, THEIRS, "regulator", NOON)
    again = take_in(store, replace(THEIRS, entries=()), "regulator", NOON + timedelta(days=1))
    assert (again.case, len(again.entries), again.changed) == (1, 3, NOON)
    moved = take_in(store, THEIRS, "not-listed", NOON + timedelta(days=2))
    assert (moved.case, moved.cause) == (1, "not-listed")
    assert store.tally("heater", NOON).causes == {"not-listed": 1.0}
    assert len(store.cases()) == 1


@pytest.mark.parametrize(("source", "number"), [("3fa9", "8"), ("3fa8", "7")])
def test_another_number_or_another_source_is_another_case(store, source, number):
    take_in(store, THEIRS, "regulator", NOON)
    assert arrived(store, source, number) is None
    take_in(store, replace(THEIRS, source=source, source_case=number), "regulator", NOON)
    assert store.tally("heater", NOON).causes == {"regulator": 2.0}


def test_a_case_without_a_source_is_refused(store):
    with pytest.raises(ValueError, match="has a source and a number there"):
        take_in(store, replace(THEIRS, source="", source_case=""), "regulator", NOON)
    assert store.cases() == ()


def test_a_stop_from_elsewhere_stops_no_vehicle_here(store):
    take_in(store, replace(THEIRS, state="stopped"), "regulator", NOON)
    assert list(store.newest_first("")) == []
    assert store.awaiting_outcome() is None


def test_the_same_case_brought_by_several_at_once_is_opened_once(url):
    """Each with a connection of its own, as programs of their own have them."""
    open_store(url).close()
    start = Barrier(4)

    def bring():
        with open_store(url) as store:
            start.wait()
            for _ in range(5):
                take_in(store, THEIRS, "regulator", NOON)

    with ThreadPoolExecutor(4) as several:
        for done in [several.submit(bring) for _ in range(4)]:
            done.result(timeout=60)
    with open_store(url) as store:
        assert len(store.cases()) == 1
        assert store.tally("heater", NOON).causes == {"regulator": 1.0}
