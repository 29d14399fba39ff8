"""The hand-over sheet: plain text that says what was found, tried and left alone."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.records import CaseRecord
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.sheet import sheet_text
from diagnose.walking.walk import Walk
from tests.walking.small_trees import MONDAY, HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions


def walked(*answers, tree=None):
    tree = tree or heater()
    journal = MemoryJournal()
    walk = Walk.begin(tree, Order(tree), journal, HandClock())
    through_the_danger_questions(walk)
    for answer in answers:
        walk.reading(answer) if isinstance(answer, float) else walk.answer(answer)
    return walk, journal


def sheet(walk, journal, tree=None, **more):
    record = CaseRecord(
        12,
        "heater",
        "digest-1",
        "owner",
        journal.state,
        MONDAY,
        MONDAY,
        "Blue van",
        journal.referral,
        entries=tuple(journal.lines),
    )
    return sheet_text(record, tree or walk.tree, Order(walk.tree).ranking(walk.situation), **more)


def test_a_sheet_at_a_referral():
    walk, journal = walked("none", "ticks", 12.4, "not-cured", "no", "could-not", "no", "could-not")
    assert sheet(walk, journal, register="the register of gas fitters") == (
        """\
HAND-OVER SHEET
Case: 12
Date: 2026-03-02 09:00 UTC
Vehicle: Blue van
Symptom: The heater will not start
The walk was: handed over to somebody qualified

For: The gas-engineer
Register: the register of gas fitters
  Say what gas-engineer needs to know.
  Until help comes: Until then: gas-engineer.

What was found, in order:
- About co-alarm? Quiet
- What does it burn? Gas
- How does the hob burn? No flame
- Watch one start: what happens? It ticks
- What does the panel show? 12.4 ± 0.15 V
- About smell-of-gas? No

Started in this case: twice (what was taken back is counted).

What was tried:
- Change the cylinder: no better
- Open the valve: could not be done
- Fit a new fuse: could not be done

What was not touched, and why:
- It is the shut: could not be done here
- It is the board: left for: The gas-engineer
- It is the fuse: could not be done here

Likeliest causes by these findings (and where the figure may lie):
- It is the shut: 74% (0% to 100%)
- It is the empty: 15% (0% to 100%)
- It is the board: 7% (0% to 100%)
- It is the not-listed: 5% (0% to 100%)
- It is the fuse: 0% (0% to 100%)

Cautions that were shown:
- DANGER: Mind hot-surfaces.
- DANGER: Mind gas.
- DANGER: Mind high-current.

This does not certify that the vehicle is safe.
"""
    )


def test_a_sheet_at_a_stop_says_why_and_whom_to_call():
    walk, journal = walked("yellow")
    text = sheet(walk, journal)
    assert "The walk was: STOPPED FOR DANGER" in text
    assert "Stopped because: How does the hob burn? Yellow." in text
    assert "For: The gas-engineer" in text


def test_a_start_that_was_taken_back_is_counted():
    walk, journal = walked("none", "ticks")
    walk.back()
    assert "Started in this case: once" in sheet(walk, journal)
    assert "Watch one start" not in sheet(walk, journal)


def test_a_tree_from_elsewhere_says_so():
    walk, journal = walked("none", tree=heater(shipped=False))
    assert "nobody of this project has checked it" in " ".join(sheet(walk, journal).split())


@given(st.integers(20, 100), st.text(max_size=60), st.text(max_size=200))
def test_no_line_is_too_long_and_none_has_a_control_character(columns, vehicle, says):
    walk, journal = walked("none")
    tree = walk.tree
    checks = dict(tree.checks) | {"hob": replace(tree.checks["hob"], ask=says)}
    record = CaseRecord(
        1,
        "heater",
        "d",
        "owner",
        "referred",
        MONDAY,
        MONDAY,
        vehicle,
        "workshop",
        entries=tuple(journal.lines),
    )
    text = sheet_text(record, replace(tree, checks=checks), columns=columns)
    assert all(len(line) <= columns for line in text.split("\n"))
    assert text.replace("\n", "").isprintable()


def test_under_the_likeliest_causes_stands_what_is_not_known_of_the_past():
    walk, journal = walked("none", "ticks", 12.4, "not-cured", "no", "could-not", "no", "could-not")
    missing = "Not told yet what it was: 5 of 9 handed on."
    _, behind = sheet(walk, journal, missing=missing).split("Likeliest causes by these findings")
    assert behind.split("\n\n")[0].endswith(f"%)\n{missing}")


def test_with_a_code_the_sheet_ends_with_the_numbered_outcomes_and_the_way_back():
    walk, journal = walked("none", "ticks", 12.4, "not-cured", "no", "could-not", "no", "could-not")
    text = sheet(walk, journal, code="0042-7524-4371")
    assert text.endswith(
        """
Once you know what it was, tell whoever gave you this sheet its code and
the number:
Code: 0042-7524-4371
Read aloud: zero zero four two, seven five two four, four three seven
one
1 It is the empty
2 It is the shut
3 It is the fuse
4 It is the board
5 Something else, not in this list
They type:
  diagnose cases confirm 0042-7524-4371 NUMBER

This does not certify that the vehicle is safe.
"""
    )
    assert "Code" not in sheet(walk, journal)
