"""Rounds that are not at their end, where somebody says what is wrong: one line, and a word to go on."""

from __future__ import annotations

from datetime import timedelta

import pytest

from diagnose.cases.peek import Peek, peek
from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import begin_round, note, rounds_not_ended, set_stage
from diagnose.cases.store import open_store
from diagnose.terminal.round_offer import RoundWanted
from tests.terminal.typed import START


@pytest.fixture
def url(tmp_path):
    return str(tmp_path / "cases.sqlite")


@pytest.fixture
def rounds(url):
    """`rounds(("journey", "van 7", "left-off", hours), ...)` begins them so many hours before the visit."""

    def begun(*wanted):
        with open_store(url) as store:
            for name, vehicle, stage, hours in wanted:
                at = START - timedelta(hours=hours)
                number = begin_round(store, name, "d", vehicle, "", at).number
                if stage == "stopped":
                    note(store, number, [RoundLine(at, "danger", "", "gas-escape")])
                set_stage(store, number, stage, at)

    return begun


def test_a_round_left_off_is_told_of_in_one_line_that_is_no_question(visit, rounds, stored):
    rounds(("wake-up", "van 7", "left-off", 20))
    _, said = visit("table lamp dead", "1")
    line = "A round is not at its end (Waking it up: van 7). To go on with it, type: round."
    assert said.index("What is wrong?") < said.index("type: danger.") < said.index(line)
    assert stored()[1].symptom == "lamp-dark"


def test_the_word_goes_on_with_it_and_danger_comes_first_all_the_same(visit, rounds):
    rounds(("wake-up", "van 7", "open", 1))
    with pytest.raises(RoundWanted) as wanted:
        visit("Round")
    assert wanted.value.number == 1
    _, said = visit("danger")
    assert "STOP - DANGER" in said


def test_a_stopped_one_is_told_of_as_that(visit, rounds):
    rounds(("journey", "van 7", "stopped", 50))
    _, said = visit("leave off")
    assert "Danger stopped a round (Before a journey: van 7). Has somebody qualified cleared it?" in said


def test_of_several_one_is_picked_or_none_and_then_it_is_asked_again_what_is_wrong(visit, rounds):
    rounds(("wake-up", "van 7", "left-off", 30), ("journey", "", "stopped", 2), ("lay-up", "b", "open", 9))
    _, said = visit("round", "none", "leave off")
    assert "3 rounds are not at their end. To go on with one, type: round." in said
    assert "Which round? 1 Before a journey, 01 March, stopped for danger 2 Laying it up: b, 01 March" in said
    assert said.endswith("> leave off")
    with pytest.raises(RoundWanted) as wanted:
        visit("round", "3")
    assert wanted.value.number == 1


@pytest.mark.parametrize(
    "wanted",
    [
        (("wake-up", "van 7", "ended", 1),),
        (("journey", "van 7", "left-off", 30),),  # a journey is made ready anew on another day
        (("wake-up", "van 7", "left-off", 30), ("wake-up", "Van 7", "ended", 2)),
    ],
)
def test_what_is_ended_old_or_was_begun_anew_is_not_told_of(visit, rounds, wanted):
    rounds(*wanted)
    _, said = visit("leave off")
    assert "not at its end" not in said


def test_only_that_of_the_vehicle_that_was_named(visit, rounds):
    rounds(("wake-up", "van 7", "left-off", 1), ("wake-up", "van 8", "left-off", 2))
    _, said = visit("leave off", vehicle="VAN 8")
    assert "A round is not at its end (Waking it up: van 8)." in said


def test_a_store_that_cannot_be_read_is_in_nobodys_way_here(visit, tmp_path):
    (tmp_path / "cases.sqlite").write_bytes(b"SQLite format 3\x00" + bytes(range(256)) * 40)
    _, said = visit("leave off")
    assert "What is wrong?" in said
    assert "not at its end" not in said


def test_the_quick_look_tells_what_the_store_itself_does(rounds, url):
    assert peek(url).rounds == ()
    rounds(
        ("wake-up", "van 7", "left-off", 30), ("wake-up", "VAN 7", "stopped", 3), ("journey", "", "ended", 2)
    )
    with open_store(url) as store:
        told = rounds_not_ended(store)
    assert [(each.number, each.stage) for each in told] == [(2, "stopped")]
    assert peek(url).rounds == told
    assert peek("postgresql://nobody@localhost/none") == Peek()
