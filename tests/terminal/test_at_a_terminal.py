"""The program itself at a real pty: every way in and every way out, at 80 and at 40 columns."""

from __future__ import annotations

import os
import signal

import pytest

from diagnose.cases.store import open_store

SIZES = [(40, 30), (80, 24)]
NARROW_AND_WIDE = [(40, 30), pytest.param(80, 24, marks=pytest.mark.long)]
"""The narrow screen is where lines break; the first walk is at both in every run."""
CERTIFICATE = "This does not certify that the vehicle is safe."


def start_heater(terminal, columns=80, rows=24, **environment):
    child = terminal("walk", "heater-no-fire", columns=columns, rows=rows, **environment)
    child.see("The blown-air gas heater will not fire")
    child.see("Can you smell gas or hear hissing")
    child.see("danger. The cautions stand above: scroll up to read them. >")
    return child


def start_lamp(terminal, lamp, columns=80, rows=24):
    child = terminal("walk", str(lamp), columns=columns, rows=rows)
    child.see("Which way does the switch stand?")
    child.see("danger. >")
    return child


def journal(surroundings, case=1):
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        return store.case(case)


def findings(record):
    return [(entry.subject, entry.answer) for entry in record.entries if entry.kind == "finding"]


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_from_ordinary_words_to_a_cure(terminal, lamp, columns, rows):
    child = terminal("--debug", columns=columns, rows=rows, afresh=True, DIAGNOSE_TREES=str(lamp.parent))
    child.see("What is wrong?")
    child.see("danger. >")
    child.type("table lamp is dead")
    child.see("The lamp over the table stays dark (your own tree; not checked by this project)")
    child.type("1")
    child.see("nobody of this project has checked it.")
    child.see("Which way does the switch stand?")
    child.see("About 2 minutes. In the kitchen.")
    child.see("So far the likeliest: - The switch at the lamp is off: about 4 in 10")
    child.see("Our judgement, no cases yet.")
    child.type("it stands at of")
    child.see("nobody of this project has checked it.")
    child.see("It may be this: the switch at the lamp is off. Press the switch at the lamp.")
    child.type("did that, works")
    child.see("Has the lamp burned for a minute?")
    child.type("y")
    child.see("CURED")
    child.see("By all signs it was this: the switch at the lamp is off.")
    child.see("Leave the switches on at the lay-up.")
    child.see("diagnose cases confirm 1")
    child.see(CERTIFICATE)
    assert child.end() == 0


@pytest.mark.parametrize(("columns", "rows"), NARROW_AND_WIDE)
def test_a_stop_says_what_to_do_and_whom_to_call_and_offers_the_sheet(
    terminal, surroundings, columns, rows, tmp_path
):
    child = start_heater(terminal, columns, rows, DIAGNOSE_COUNTRY="uk")
    child.type("yes")
    for text in (
        "STOP - DANGER",
        "Everybody out",
        "Do this now:",
        "Call:",
        "Tell them:",
        "Emergency number: 112 or 999.",
        "There is no way on from here.",
        CERTIFICATE,
        "There is a sheet to hand over",
    ):
        child.see(text)
    child.type("handed over.txt")
    child.see("Written to")
    assert child.end() == 0
    sheet = (tmp_path / "handed over.txt").read_text(encoding="utf-8")
    assert sheet.startswith("HAND-OVER SHEET\n")
    assert "STOPPED FOR DANGER" in sheet
    assert max(map(len, sheet.splitlines())) <= 72
    assert journal(surroundings).state == "stopped"


@pytest.mark.parametrize(("columns", "rows"), NARROW_AND_WIDE)
def test_a_referral_is_firm_and_says_whom_to_call(terminal, lamp, columns, rows):
    child = start_lamp(terminal, lamp, columns, rows)
    child.type("on")
    child.see("What does the panel show in volts?")
    child.type("0,3")
    for text in ("TO BE HANDED OVER", "Call:", "Tell them:", "Until they come:", CERTIFICATE, "a sheet"):
        child.see(text)
    child.type("1")
    child.see("HAND-OVER SHEET")
    child.see("What does the panel show in volts? 0.3 ± 0.1 V")
    assert child.end() == 0


def test_danger_in_mid_walk_stops_without_a_further_question(terminal, surroundings):
    child = start_heater(terminal)
    child.type("no")
    child.see("Is an alarm sounding")
    child.type("danger")
    child.see("STOP - DANGER")
    child.see("There is a sheet to hand over")
    child.type("")
    assert child.end() == 0
    assert journal(surroundings).state == "stopped"


def test_leaving_off_says_how_to_go_on_and_going_on_works(terminal, surroundings):
    child = start_heater(terminal)
    child.type("no")
    child.see("Is an alarm sounding")
    child.type("leave off")
    child.see("LEFT OFF")
    child.see("diagnose walk --resume 1")
    child.see(CERTIFICATE)
    assert child.end() == 0
    assert journal(surroundings).state == "left-off"
    again = terminal("walk", "--resume", "1")
    again.see("The walk is taken up again, so the danger questions are asked again.")
    again.see("Can you smell gas or hear hissing")
    again.type("no")
    again.see("Is an alarm sounding")


def test_ctrl_c_keeps_the_case_says_how_to_go_on_and_ends_with_130(terminal, surroundings):
    child = start_heater(terminal, afresh=True)
    child.type("no")
    child.see("Is an alarm sounding")
    child.see("danger. >")
    child.press("\x03")
    child.see("All that you answered is kept as case 1. To go on, type: diagnose walk --resume 1")
    assert child.end() == 130
    record = journal(surroundings)
    assert record.state == "left-off"
    assert findings(record) == [("smell-of-gas", "no")]


def test_the_end_of_the_input_does_the_same_and_ends_with_0(terminal, surroundings):
    child = start_heater(terminal)
    child.press("\x04")
    child.see("diagnose walk --resume 1")
    assert child.end() == 0
    assert journal(surroundings).state == "left-off"


def test_kill_9_loses_at_most_the_answer_being_typed(terminal, surroundings):
    child = start_heater(terminal, afresh=True)
    child.type("no")
    child.see("Is an alarm sounding")
    child.see("danger. >")
    child.press("quie")
    child.see("quie")
    os.kill(child.child.pid, signal.SIGKILL)
    assert child.end() == -signal.SIGKILL
    record = journal(surroundings)
    assert record.state == "open"
    assert findings(record) == [("smell-of-gas", "no")]
    again = terminal("walk", "--resume", "1")
    again.see("Can you smell gas or hear hissing")


def test_no_history_is_kept_at_the_prompt(terminal):
    child = start_heater(terminal)
    child.type("something wrong")
    child.see("whole word")
    child.press("\x1b[A")
    child.type("")
    child.see("> Here it has to be the whole word")


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_without_colour_or_at_a_dumb_terminal_no_control_byte_is_written(terminal, environment):
    child = start_heater(terminal, **environment)
    child.type("no")
    child.see("Is an alarm sounding")
    child.type("danger")
    child.see("STOP - DANGER")
    child.type("")
    assert child.end() == 0
    assert [byte for byte in set(child.raw) if byte < 32] == [
        byte for byte in set(child.raw) if byte in b"\r\n"
    ]


def test_a_real_terminal_gets_its_signal_words_in_bold_and_no_colours(terminal):
    child = start_heater(terminal)
    assert b"\x1b[1;7mDANGER\x1b[0m" in child.raw
    assert b"\x1b[31m" not in child.raw


def test_danger_told_first_opens_the_stop_text_before_any_search(terminal, surroundings):
    child = terminal("walk", "I", "smell", "gas")
    child.see("STOP - DANGER")
    child.see(CERTIFICATE)
    assert child.end() == 0
    assert not os.path.exists(surroundings["DIAGNOSE_CASES"])  # noqa: PTH110
