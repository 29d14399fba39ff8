"""A round at a real terminal, in a cold yard: at 40 and 80 columns, killed in the middle, by two people."""

from __future__ import annotations

import signal

import pytest

from diagnose.cases.rounds_store import round_kept
from diagnose.cases.store import open_store

pytestmark = pytest.mark.long


def marked(surroundings):
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        return {line.subject: line.answer for line in round_kept(store, 1).lines}


@pytest.mark.parametrize("columns", [40, 80])
def test_a_round_is_gone_through_left_and_taken_up(terminal, surroundings, columns):
    at = terminal("round", "journey", "--vehicle", "van 7", columns=columns)
    at.see("Task 1 of 8")
    at.see(">")
    at.type("1")
    at.see("Task 2 of 8")
    at.see(">")
    at.type("wrong")
    at.see("Until it is put right, do not use:")
    at.see("Find out why now?")
    at.see(">")
    at.type("1")
    at.see("Type the whole word:")
    at.see(">")
    at.type("leave off")
    at.see("LEFT OFF")
    at.see("Back to the round.")
    at.see(">")
    at.type("leave off")
    at.see("NOT READY")
    at.see("This does not certify that the vehicle is safe.")
    assert at.end() == 0
    assert max(len(line) for line in at.lines()) <= columns
    again = terminal("round", "--resume", columns=columns)
    again.see("Task 3 of")
    again.see(">")
    again.type("danger")
    again.see("STOP - DANGER")
    again.see("Nobody goes back in")
    assert again.end() == 0


def test_what_was_answered_is_kept_when_the_next_task_shows_though_the_program_is_killed(
    terminal, surroundings
):
    at = terminal("round", "journey")
    at.see("Task 1 of")
    at.see(">")
    at.type("fine")
    at.see("Task 2 of")
    at.child.kill(signal.SIGKILL)
    at.end()
    assert list(marked(surroundings).values()) == ["fine"]
    again = terminal("round", "--resume")
    again.see("Task 2 of")


def test_two_people_go_through_one_round_and_danger_stops_both(terminal, surroundings):
    ann = terminal("round", "journey", "--by", "A.")
    ann.see("Task 1 of")
    ann.see(">")
    bob = terminal("round", "--resume", "1", "--by", "B.")
    bob.see("Task 1 of")
    bob.see(">")
    ann.type("fine")
    ann.see("Task 2 of")
    ann.see(">")
    ann.type("fine")
    ann.see("Task 3 of")
    ann.see(">")
    bob.type("not fitted")
    bob.see("Task 3 of")
    bob.see(">")
    assert len(marked(surroundings)) == 2
    bob.type("danger")
    bob.see("STOP - DANGER")
    ann.type("fine")
    ann.see("STOP - DANGER")
    ann.see("Danger was told on this round")
    assert (ann.end(), bob.end()) == (0, 0)


def test_ctrl_c_leaves_it_off(terminal, surroundings):
    at = terminal("round", "journey", columns=40)
    at.see("Task 1 of")
    at.see(">")
    at.press("\x03")
    at.see("To go on with the round, type:")
    at.see("diagnose round --resume 1")
    assert at.end() == 130
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        assert round_kept(store, 1).stage == "left-off"


@pytest.mark.parametrize("plain", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_without_colour_nothing_but_text_is_written(terminal, plain):
    at = terminal("round", "journey", **plain)
    at.see("Task 1 of")
    at.see(">")
    at.type("leave off")
    at.see("certify")
    assert at.end() == 0
    assert b"\x1b" not in at.raw
