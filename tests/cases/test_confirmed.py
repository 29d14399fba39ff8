"""Confirmed cases as a stream, from both kinds of store."""

from __future__ import annotations

import tracemalloc
from datetime import timedelta

from diagnose.cases import confirmed
from diagnose.cases.confirmed import cases_over, confirmed_in_order, confirmed_number, merged_sums
from diagnose.cases.store import open_store
from diagnose.cases.sums import add_to_sums
from diagnose.cases.tables import answer_sums, cases, cause_sums, entries, merged, unconfirmed_sums
from tests.cases.conftest import NOON

DAY = timedelta(days=1)


def case(store, symptom, opened, found, cause=None, on=None):
    """A case with one finding, cured on the day it was opened; confirmed where there is a cause."""
    number = store.open_case(symptom, "digest", "owner", "", NOON + opened * DAY)
    store.append(number, found("hum", "yes"))
    store.end_case(number, "cured", NOON + opened * DAY)
    if cause:
        store.confirm(number, cause, NOON + on * DAY)
    return number


def order(store, *symptoms):
    with store.reading() as connection:
        return [each.record.case for each in confirmed_in_order(connection, symptoms)]


def test_cases_come_by_confirmation_and_of_one_moment_by_opening(store, found):
    late = case(store, "pump", 1, found, "fuse", on=9)
    second = case(store, "pump", 3, found, "fuse", on=5)
    first = case(store, "heater", 2, found, "valve", on=5)
    case(store, "pump", 0, found)
    assert order(store) == [first, second, late]
    assert order(store, "pump") == [second, late]
    assert order(store, "pump", "heater") == [first, second, late]
    with store.reading() as connection:
        assert confirmed_number(connection) == 3
        assert confirmed_number(connection, ("heater",)) == 1


def test_a_case_put_right_comes_when_it_was_put_right_with_the_lines_of_then(store, found):
    one = case(store, "pump", 0, found, "fuse", on=1)
    two = case(store, "pump", 0, found, "fuse", on=2)
    store.append(one, found("lamp", "off"))
    store.confirm(one, "pipe", NOON + 3 * DAY)
    store.append(one, found("gauge", "full"))
    with store.reading() as connection:
        told = list(confirmed_in_order(connection))
    assert [each.record.case for each in told] == [two, one]
    assert [line.subject for line in told[1].record.entries] == ["hum", "lamp"]
    assert [line.number for line in told[1].record.entries] == [1, 2]
    assert told[1].on == NOON + 3 * DAY
    assert told[0].record == store.case(two)


def test_journals_do_not_mix_where_many_are_read_in_parts(store, found, monkeypatch):
    monkeypatch.setattr(confirmed, "AT_ONCE", 3)
    numbers = [case(store, "pump", day, found, "fuse", on=20 - day) for day in range(8)]
    for number in numbers:
        store.append(number, found("lamp", f"after-{number}"))
    with store.reading() as connection:
        told = [each.record for each in confirmed_in_order(connection)]
    assert [record.case for record in told] == numbers[::-1]
    assert all([line.subject for line in record.entries] == ["hum"] for record in told)


def test_cases_that_are_over_are_told_confirmed_or_not(store, found):
    case(store, "pump", 1, found, "fuse", on=2)
    case(store, "pump", 0, found)
    case(store, "heater", 3, found)
    store.open_case("pump", "digest", "owner", "", NOON)
    with store.reading() as connection:
        told = [(each.symptom, each.ending, each.opened) for each in cases_over(connection)]
        of_pump = list(cases_over(connection, ("pump",)))
    assert told == [
        ("heater", "cured", NOON + 3 * DAY),
        ("pump", "cured", NOON),
        ("pump", "cured", NOON + DAY),
    ]
    assert len(of_pump) == 2


def test_sums_of_other_stores_come_with_the_time_of_their_arrival(store, found):
    case(store, "pump", 0, found, "fuse", on=1)
    with store.writing() as connection:
        for origin, day in (("b" * 16, 4), ("a" * 16, 2)):
            row = {"origin": origin, "number": 1, "digest": "", "received": NOON + day * DAY}
            connection.execute(merged.insert(), row)
            add_to_sums(connection, cause_sums, {("pump", "pipe", 2025, "cured"): day}, origin)
            add_to_sums(connection, answer_sums, {("pump", "pipe", "hum", "no", 2025, "cured"): day}, origin)
            add_to_sums(connection, unconfirmed_sums, {("pump", 2025, "referred"): day}, origin)
    with store.reading() as connection:
        told = merged_sums(connection)
    assert [each.received for each in told] == [NOON + 2 * DAY, NOON + 4 * DAY]
    assert told[0].causes == (("pump", "pipe", 2025, "cured", 2),)
    assert told[0].answers == (("pump", "pipe", "hum", "no", 2025, "cured", 2),)
    assert told[0].unconfirmed == (("pump", 2025, "referred", 2),)


def test_memory_does_not_grow_with_the_number_of_cases(tmp_path):
    """Half as many take as much at the height of it; journals held would take twice."""
    heights = []
    for size in (1000, 2000):
        with open_store(str(tmp_path / f"{size}.sqlite")) as store:
            blank = {
                column.name: "" for column in cases.columns if column.name not in ("source", "source_case")
            }
            numbers = {"confirmed_lines": 5, "lines": 5, "confirmed": True, "asked_outcome": False}
            moments = {"opened": NOON, "changed": NOON, "confirmed_on": NOON}
            with store.writing() as connection:
                connection.execute(
                    cases.insert(), [blank | numbers | moments | {"id": id + 1} for id in range(size)]
                )
                line = {"time": NOON, "kind": "finding", "subject": "hum", "answer": "yes", "ahead": False}
                connection.execute(
                    entries.insert(),
                    [line | {"case_id": id + 1, "number": n} for id in range(size) for n in range(1, 6)],
                )
            tracemalloc.start()
            with store.reading() as connection:
                assert sum(len(each.record.entries) for each in confirmed_in_order(connection)) == 5 * size
            heights.append(tracemalloc.get_traced_memory()[1])
            tracemalloc.stop()
    assert heights[1] < 1.2 * heights[0]
