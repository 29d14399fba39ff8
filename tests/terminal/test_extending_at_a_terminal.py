"""A new cause told at a real terminal of 40 and 80 columns; whatever ends the talk, the file is untouched."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def case(surroundings) -> str:
    """A case of the lamp that turned out to be nothing that its tree lists."""
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        number = store.open_case("lamp-dark", "of old", "owner", "", NOON)
        store.append(number, Entry(NOON, "finding", "switch-click", "on"))
        store.append(number, Entry(NOON, "finding", "volts-at-lamp", "alive", 12.4))
        store.end_case(number, "referred", NOON, referral="workshop")
        store.confirm(number, "not-listed", NOON)
    return str(number)


TALK = [
    ("What was wrong?", "The holder is green with verdigris"),
    ("Where does it belong?", "1"),
    ("Its id: holder-green-verdigris", "holder-corroded"),
    ("Not listed were 1 of 1 confirmed case", "4"),
    ("Where is it taken from?", ""),
    ("What can hurt somebody here?", "none"),
    ("What is done about it?", "1"),
    ("What has to be done?", "Switch it off and wipe the contacts"),
    ("minded while doing it?", ""),
    ("Who can do it?", "1"),
    ("What does it take?", "2"),
    ("How many minutes of work?", "six"),
    ('"six" is no number.', "6"),
    ("What do the parts cost?", ""),
    ("Anything more about this remedy?", ""),
    ("kept from happening next winter?", "back"),
    ("What is done about it?", "refer"),
    ("To whom?", ""),
    ("kept from happening next winter?", "Keep the vehicle aired"),
    ("Which way does the switch stand?", "1"),
    ("What does the panel show in volts?", "almost certain"),
    ("Which other question", ""),
    ("Which new check would show it?", "What colour are the contacts?"),
    ("How does one look", ""),
    ("Who can do it?", "1"),
    ("What does it take?", "1"),
    ("How many minutes does it take?", ""),
    ("Is the appliance started for it?", "no"),
    ("Anything more about this check?", "place"),
    ("Where on the vehicle?", "cab"),
    ("Anything else about it?", ""),
    ("see if it is this fault?", "They are green"),
    ("if it is another fault?", "They are bright"),
    ("Anything else", ""),
    ("If it is this fault, how likely", "0.95"),
    ("If it is another fault, how likely", ""),
    ("The id of the check: holder-corroded-seen", ""),
]


def talk(child, steps):
    for text, typed in steps:
        child.see(text)
        child.see(">")
        child.type(typed)


@pytest.mark.parametrize("columns", [40, pytest.param(80, marks=pytest.mark.long)])
def test_a_cause_is_told_accepted_and_the_case_confirmed(terminal, lamp, case, surroundings, columns):
    child = terminal("trees", "extend", case, "--trees", str(lamp.parent), columns=columns, rows=40)
    talk(child, TALK)
    child.see("+ holder-corroded:")
    child.see("Safety rules proved")
    child.see("EXPECTED MINUTES")
    talk(child, [("What now?", "change"), ("Which step?", "7"), ("next winter?", "Air it on dry days")])
    child.see("+ prevent: Air it on dry days")
    talk(child, [("What now?", "accept"), ("Type the whole word: yes or no.", "yes")])
    child.see("is confirmed as holder-corroded")
    assert child.end() == 0
    assert max(map(len, child.lines())) <= columns
    text = lamp.read_text(encoding="utf-8")
    assert (
        """\
    holder-corroded:
      says: The holder is green with verdigris
      in_100: 4
      hazard: none
      remedy: {refer: workshop}
      prevent: Air it on dry days
"""
        in text
    )
    assert "    answers: {green: They are green, bright: They are bright}\n" in text
    assert "holder-corroded: {green: 0.95}" in text
    with open_store(surroundings["DIAGNOSE_CASES"]) as store:
        assert store.case(int(case)).cause == "holder-corroded"


@pytest.mark.parametrize(
    ("keys", "code", "seen", "steps"),
    [
        ("danger\r", 0, "Emergency number", 7),
        pytest.param("leave off\r", 0, "Nothing was written.", 0, marks=pytest.mark.long),
        pytest.param("\x04", 0, "Nothing was written.", 4, marks=pytest.mark.long),
        pytest.param("\x03", 130, "", len(TALK), marks=pytest.mark.long),
    ],
)
def test_whatever_ends_the_talk_the_file_is_untouched(terminal, lamp, case, keys, code, seen, steps):
    before = lamp.read_bytes()
    child = terminal("trees", "extend", case, "--trees", str(lamp.parent), columns=40, rows=40)
    talk(child, TALK[:steps])
    child.see("What now?" if steps == len(TALK) else TALK[steps][0])
    child.see(">")
    child.press(keys)
    assert child.end() == code
    assert seen in child.words()
    assert max(map(len, child.lines())) <= 40
    assert lamp.read_bytes() == before
    assert [file.name for file in lamp.parent.iterdir()] == [lamp.name]
