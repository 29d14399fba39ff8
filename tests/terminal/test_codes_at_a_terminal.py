"""The code of a case at a real terminal: on the last screen, on the sheet, and typed in again."""

from __future__ import annotations

import re

import pytest

from diagnose.cases.codes import number_of
from diagnose.cases.refusals import busy
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.terminal.desk import Opened
from diagnose.terminal.endings import stopped_end
from diagnose.walking.case_codes import code_of
from diagnose.walking.views import Stopped
from tests.terminal.test_at_a_terminal import NARROW_AND_WIDE, journal, start_heater, start_lamp
from tests.walking.small_trees import heater

CODE = re.compile(r"^ *([0-8FMRW]{4}(?:-[0-8FMRW]{4})+)$", re.MULTILINE)


def codes_on(text):
    """Each code that stands alone on a line of the screen."""
    return CODE.findall(text)


def expected(surroundings, trees):
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        record = store.case(1)
        return code_of(record, trees.tree(record.symptom), store.origin)


@pytest.mark.parametrize(("columns", "rows"), NARROW_AND_WIDE)
def test_a_referral_ends_with_its_code_and_the_code_closes_the_case(
    terminal, surroundings, lamp, columns, rows
):
    child = start_lamp(terminal, lamp, columns, rows)
    child.type("on")
    child.see("What does the panel show in volts?")
    child.type("0,3")
    child.see("TO BE HANDED OVER")
    child.see("It is kept as case 1. Code for the engineer's answer:")
    child.see("There is a sheet to hand over")
    code = expected(surroundings, Library((lamp.parent,)))
    assert codes_on(child.text()) == [code]
    child.type("1")
    child.see("tell whoever gave you this sheet its code and the number:")
    child.see("1 The switch at the lamp is off 2 The bulb has gone 3 No current comes to the lamp")
    child.see("4 Something else, not in this list")
    assert child.end() == 0
    if columns < 80:
        return
    spoken = " ".join(code.lower().split("-"))
    again = terminal("cases", "confirm", *spoken.split(), "3", "--trees", str(lamp.parent), columns=columns)
    again.see("Case 1 is confirmed: No current comes to the lamp (line-dead).")
    assert again.end() == 0
    assert journal(surroundings).cause == "line-dead"


def test_a_stop_says_first_what_to_do_and_gives_the_code_at_its_end(terminal, surroundings, tmp_path):
    child = start_heater(terminal, 40, 30)
    child.type("yes")
    child.see("STOP - DANGER")
    child.see("Emergency number:")
    child.see("There is no way on from here.")
    child.see("Code for the engineer's answer:")
    child.see("There is a sheet to hand over")
    code = expected(surroundings, Library())
    assert codes_on(child.text()) == [code]
    child.type("sheet for them.txt")
    child.see("Written to")
    assert child.end() == 0
    sheet = (tmp_path / "sheet for them.txt").read_text(encoding="utf-8")
    assert f"\nCode: {code}\n" in sheet
    assert f"\n  diagnose cases confirm {code} NUMBER\n" in sheet
    assert number_of(sheet.partition("Read aloud: ")[2].partition("\n 1 ")[0]) == number_of(code)


def test_the_longest_code_is_broken_between_groups_on_a_narrow_screen_and_shown_in_full():
    code = "-".join(["W0F1"] * 12)
    view = Stopped(symptom="S", case=3, state="stopped", referrals=(), because="", first="Everybody out.")
    for width in (20, 40, 80):
        page = stopped_end(view, width, code=code)
        text = page.text()
        assert text.count("W0F1") == 12
        assert max(len(line.text) for line in page.lines) <= width
        assert page.lines[-1].text == "Everybody out."


class BusyStore:
    """A store that somebody else keeps locked."""

    origin = "3fa91c0d7e526b84"

    def case(self, case):
        raise busy("cases.sqlite")


def test_an_end_is_shown_without_a_code_where_the_store_does_not_answer():
    opened = Opened(None, heater(), 1, None, BusyStore())
    assert opened.code() == ""
    view = Stopped(symptom="S", case=1, state="stopped", referrals=(), because="", first="Everybody out.")
    assert "It is kept as case 1.\nThis does not certify" in stopped_end(view, 80, code=opened.code()).text()
