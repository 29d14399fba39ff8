"""An exercise at a real terminal, as a learner and as a trainer, at 40 and at 80 columns."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.long


@pytest.mark.parametrize("columns", [40, 80])
def test_a_learner_finds_the_fault_and_sees_how_it_went(terminal, lamp, columns):
    at = terminal("practise", str(lamp), "--fault", "switched-off", "--seed", "5", columns=columns)
    at.see("PRACTICE")
    at.see("What do you do? Type a number.")
    at.see(">")
    at.type("switch click")
    at.see("It stands at o")
    at.see(">")
    at.type("switched off")
    at.see("It works again")
    at.see("You found it and put it right.")
    at.see("without the walk.")
    assert at.end() == 0
    assert max(len(line) for line in at.lines()) <= columns


def test_a_trainer_answers_for_the_vehicle(terminal, lamp):
    at = terminal("practise", str(lamp), "--fault", "bulb-gone", "--trainer", "--seed", "5")
    at.see("Hidden is: the bulb has gone.")
    at.see(">")
    at.type("volts at lamp")
    at.see("Such a vehicle answers:")
    at.see(">")
    at.type("3,2")
    at.see("3.2 V")
    at.see(">")
    at.type("leave off")
    at.see("HOW IT WENT")
    assert at.end() == 0


@pytest.mark.parametrize("plain", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_without_colour_nothing_but_text_is_written(terminal, lamp, plain):
    at = terminal("practise", str(lamp), "--seed", "5", **plain)
    at.see(">")
    at.type("leave off")
    at.see("without the walk.")
    assert at.end() == 0
    assert b"\x1b" not in at.raw


def test_ctrl_c_ends_at_once_with_its_own_code(terminal, lamp):
    at = terminal("practise", str(lamp), "--seed", "5")
    at.see(">")
    at.press("\x03")
    assert at.end() == 130
