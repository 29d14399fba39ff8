"""Rounds in the store: noted line by line, by several people at once, kept, checked, copied and forgotten."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from diagnose.cases.addresses import address_of
from diagnose.cases.checking import integrity
from diagnose.cases.copying import copy_store, put_back
from diagnose.cases.forgetting import NoSuchVehicle, cases_named, clear_traces, forget, rounds_named
from diagnose.cases.rounds_records import RoundLine, standing_lines
from diagnose.cases.rounds_store import (
    NoSuchRound,
    begin_round,
    note,
    round_kept,
    rounds_kept,
    rounds_of_wrong_length,
    set_stage,
)
from diagnose.cases.store import CaseStore, open_store
from diagnose.cases.tables import rounds

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def mark(task: str, end: str = "fine", **more: object) -> RoundLine:
    return replace(RoundLine(NOON, "mark", task, end), **more)  # type: ignore[arg-type]


def test_what_is_noted_comes_back_as_it_was_given(store: CaseStore) -> None:
    begun = begin_round(store, "wake-up", "digest", "Van 7", "A.", NOON)
    case = store.open_case("habitation-dead", "d", "owner", "Van 7", NOON)
    later = NOON + timedelta(minutes=5)
    noted = note(
        store,
        begun.number,
        [mark("w1-mice"), mark("w2-battery", "wrong", time=later, who="B.", note="swollen", case=case)],
    )
    assert [line.number for line in noted] == [1, 2]
    kept = round_kept(store, begun.number)
    assert kept == replace(begun, changed=later, lines=noted)
    assert (kept.lines[1].case, kept.lines[1].note, kept.lines[1].who) == (case, "swollen", "B.")


def test_a_task_marked_twice_stands_there_twice(store: CaseStore) -> None:
    number = begin_round(store, "wake-up", "d", "", "", NOON).number
    note(store, number, [mark("w4-tyres", "wrong")])
    note(store, number, [mark("w4-tyres", "fine")])
    assert [line.answer for line in round_kept(store, number).lines] == ["wrong", "fine"]


def test_a_line_taken_back_is_kept_and_stands_no_more() -> None:
    lines = tuple(
        replace(each, number=number)
        for number, each in enumerate([mark("a"), mark("b"), RoundLine(NOON, "back", "2"), mark("c")], 1)
    )
    assert [line.subject for line in standing_lines(lines)] == ["a", "c"]
    again = (*lines, RoundLine(NOON, "back", "3", number=5))
    assert [line.subject for line in standing_lines(again)] == ["a", "b", "c"]


def test_rounds_are_listed_the_latest_first_and_by_vehicle_in_any_capitals(store: CaseStore) -> None:
    for day, (name, vehicle) in enumerate([("wake-up", "Überland 3"), ("journey", ""), ("lay-up", "van")]):
        begin_round(store, name, "d", vehicle, "", NOON + timedelta(days=day))  # type: ignore[arg-type]
    set_stage(store, 3, "ended", NOON)
    assert [each.number for each in rounds_kept(store)] == [3, 2, 1]
    assert [each.number for each in rounds_kept(store, vehicle="ÜBERLAND 3")] == [1]
    assert [each.number for each in rounds_kept(store, stages=("open", "left-off"))] == [2, 1]
    assert [each.number for each in rounds_kept(store, round="lay-up", limit=1)] == [3]


def test_danger_stops_a_round_until_a_clearance_is_noted(store: CaseStore) -> None:
    number = begin_round(store, "wake-up", "d", "", "", NOON).number
    note(store, number, [RoundLine(NOON, "danger", "w14-gas", "gas-escape")])
    for stage in ("open", "left-off", "ended"):
        set_stage(store, number, stage, NOON)  # type: ignore[arg-type]
        assert round_kept(store, number).stage == "stopped"
    note(store, number, [mark("w4-tyres")])
    note(store, number, [RoundLine(NOON, "cleared", "", "no")])
    assert round_kept(store, number).stage == "stopped"
    note(store, number, [RoundLine(NOON, "cleared", "", "yes")])
    assert round_kept(store, number).stage == "open"


@pytest.mark.parametrize("number", [0, 2, -1, 2**40])
def test_a_round_that_is_not_there_is_told(store: CaseStore, number: int) -> None:
    begin_round(store, "wake-up", "d", "", "", NOON)
    for attempt in (
        lambda: note(store, number, [mark("w1-mice")]),
        lambda: set_stage(store, number, "ended", NOON),
        lambda: round_kept(store, number),
    ):
        with pytest.raises(NoSuchRound, match=f"there is no round {number}"):
            attempt()


PEOPLE = """
import sys
from datetime import UTC, datetime
from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import note
from diagnose.cases.store import open_store
url, who, many = sys.argv[1], sys.argv[2], int(sys.argv[3])
with open_store(url) as store:
    print("ready", flush=True)
    sys.stdin.readline()
    for number in range(many):
        line = RoundLine(datetime.now(UTC), "mark", f"{who}-{number}", "fine", who)
        assert note(store, 1, [line])[0].number
"""


@pytest.mark.long
def test_two_people_at_one_round_lose_and_double_nothing(
    url: str, run: Callable[..., subprocess.Popen[str]]
) -> None:
    with open_store(url) as store:
        begin_round(store, "wake-up", "d", "", "", NOON)
    programs = [run("import sys\n" + PEOPLE, url, who, "40") for who in ("a", "b", "c")]
    for program in programs:
        assert program.stdout is not None
        assert program.stdout.readline() == "ready\n", program.communicate()[1]
    for program in programs:
        _, told = program.communicate(timeout=60)
        assert program.returncode == 0, told
    with open_store(url) as store, store.reading() as connection:
        lines = round_kept(store, 1).lines
        assert [line.number for line in lines] == list(range(1, 121))
        assert {line.subject for line in lines} == {f"{who}-{n}" for who in "abc" for n in range(40)}
        assert [line.subject for line in lines if line.who == "b"] == [f"b-{n}" for n in range(40)]
        assert rounds_of_wrong_length(connection) == ()


def test_a_check_finds_a_line_too_few_and_a_word_that_nobody_writes(sqlite_url: str) -> None:
    with open_store(sqlite_url) as store:
        number = begin_round(store, "wake-up", "d", "", "", NOON).number
        note(store, number, [mark("w1-mice")])
        with store.writing() as connection:
            connection.execute(update(rounds).values(lines=2))
        with store.reading() as connection:
            assert rounds_of_wrong_length(connection) == ((1, 2, 1),)
        assert integrity(store) == ()
        with store.writing() as connection:
            connection.execute(update(rounds).values(stage="opeN"))
        assert integrity(store) == ("1 row of rounds hold values of a wrong kind",)


def test_a_copy_holds_the_rounds_and_puts_them_back(tmp_path: Path) -> None:
    path, copy = tmp_path / "cases.sqlite", tmp_path / "copy.sqlite"
    with open_store(str(path)) as store:
        note(store, begin_round(store, "wake-up", "d", "Van 7", "", NOON).number, [mark("w1-mice")])
        before = rounds_kept(store)
    copy_store(address_of(str(path)), copy)
    with open_store(str(path)) as store:
        forget(store, [], [1])
        assert rounds_kept(store) == ()
    put_back(address_of(str(path)), copy)
    with open_store(str(path)) as store:
        assert rounds_kept(store) == before


def test_forgetting_a_vehicle_takes_its_rounds_and_a_forgotten_case_is_named_nowhere(
    store: CaseStore,
) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    first = begin_round(store, "wake-up", "d", "Van 7", "", NOON).number
    second = begin_round(store, "wake-up", "d", "", "", NOON).number
    for number in (first, second):
        note(store, number, [mark("w15-hob", "wrong", case=case)])
    assert cases_named(store, [], ["van 7"]) == ()
    assert [each.number for each in rounds_named(store, [], ["VAN 7"])] == [first]
    with pytest.raises(NoSuchVehicle):
        cases_named(store, [], ["van 8"])
    forget(store, [case], [first])
    assert [each.number for each in rounds_kept(store)] == [second]
    assert [line.case for line in round_kept(store, second).lines] == [None]
    with store.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM round_lines").scalar() == 1


def test_nothing_of_a_forgotten_round_stays_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "cases.sqlite"
    with open_store(str(path)) as store:
        number = begin_round(store, "wake-up", "d", "Zamboanga-7", "Quixada", NOON).number
        note(store, number, [mark("w1-mice", "wrong", who="Quixada", note="behind the Wardrobinette")])
        forget(store, [], [number])
        assert clear_traces(store) == "gone"
    found = b"".join(each.read_bytes() for each in tmp_path.glob("cases.sqlite*"))
    assert not any(word in found for word in (b"amboanga", b"uixada", b"ardrobinette"))


def test_lines_hold_no_name_unless_one_was_given(store: CaseStore) -> None:
    number = begin_round(store, "wake-up", "d", "", "", NOON).number
    note(store, number, [mark("w1-mice")])
    with store.reading() as connection:
        row = connection.exec_driver_sql("SELECT * FROM round_lines").one()._asdict()
    assert json.loads(json.dumps(row)) | {"who": "", "note": ""} == row
