"""Logging a case at a real pty, at 80 and at 40 columns: within a few key presses."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cases.store import open_store

SIZES = [(40, 30), pytest.param(80, 24, marks=pytest.mark.long)]


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_a_case_is_logged_with_two_digits(terminal, surroundings, columns, rows):
    child = terminal("cases", "add", "spider", "in", "flue", "--vehicle", "7", columns=columns, rows=rows)
    child.see("Which was it?")
    child.see("leave off. >")
    child.type("1")
    child.see("To be logged:")
    child.see("A web or a nest sits in the flue or the burner (flue-nest)")
    child.see("2 No >")
    child.type("1")
    child.see("Case 1 is logged")
    child.see("diagnose cases forget 1")
    assert child.end() == 0
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        record = store.case(1)
    assert (record.symptom, record.cause, record.confirmed) == ("heater-no-fire", "flue-nest", True)


def test_with_exact_ids_enter_is_a_yes(terminal, surroundings):
    child = terminal("cases", "add", "--symptom", "water-pump", "--cause", "pump-fuse")
    child.see("2 No >")
    child.type("")
    child.see("Case 1 is logged: The pump's fuse has blown (pump-fuse).")
    assert child.end() == 0


def test_danger_stops_even_here_and_nothing_is_logged(terminal, surroundings):
    child = terminal("cases", "add", "spider", "in", "flue", DIAGNOSE_COUNTRY="uk")
    child.see("leave off. >")
    child.type("danger")
    child.see("STOP - DANGER")
    child.see("Emergency number: 112 or 999.")
    assert child.end() == 0
    assert not Path(surroundings["DIAGNOSE_CASES"]).exists()
