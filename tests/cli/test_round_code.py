"""`diagnose round --code` with a printed list, typed or from a pipe: all or nothing; facts in a file."""

from __future__ import annotations

import json
import re

import pytest

from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import open_store


@pytest.fixture
def kept(tmp_path):
    """`kept()` are the rounds in the store, the one begun first in front."""

    def rounds():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return rounds_kept(store)[::-1]

    return rounds


@pytest.fixture
def printed(run):
    """The code of a list of the journey round of van 7, and the id in each row."""
    text = run("round", "journey", "--vehicle", "van 7", "--list", "--format", "txt").out
    code = re.search(r"diagnose round --code (\S+) --vehicle 'van 7'\n", text)[1]
    return code, dict(re.findall(r"^ ?(\d+)  \[ \] fine .*\n[^()]+\((\S+)\)$", text, re.M))


def ends(record):
    return {line.subject: line.answer for line in record.lines if line.noted == "mark"}


def test_one_line_from_a_pipe_brings_a_list_back_and_shows_what_it_took(run, kept, printed):
    code, rows = printed
    typed = "wrong 2: one is soft; a caravan; not done 3; rest fine"
    ran = run("round", "--code", code.lower(), "--vehicle", "Van 7", "--by", "A.", typed=typed)
    assert (ran.code, ran.err) == (0, "")
    assert "  2  WRONG       Look at every tyre, inner walls too. Noted: one is soft.\n" in ran.out
    assert "7 marks and 1 answer about the vehicle kept in round 1." in ran.out
    (record,) = kept()
    assert (record.round, record.vehicle, record.who, record.stage) == ("journey", "Van 7", "A.", "left-off")
    wanted = {"2": "wrong", "3": "not-done"} | {
        row: "not-done" for row, id in rows.items() if id == "j1-load"
    }
    # Nobody drives to the scales on a soft tyre.
    assert "Taken as not done, since nobody named them: 8 (comes only after 2)." in ran.out
    # A caravan has no fluids of an engine, so that row is left out.
    assert ends(record) == {id: wanted.get(row, "fine") for row, id in rows.items() if id != "w8-fluids"}
    assert [(line.subject, line.answer) for line in record.lines if line.noted == "fact"] == [
        ("build", "caravan")
    ]
    more = run("round", "--code", code, "--vehicle", "Van 7", "--resume", "1", "--json", typed="fine 3")
    assert {each["task"]: each["end"] for each in json.loads(more.out)["tasks"]}["j2-gas"] == "fine"
    assert len(kept()) == 1


@pytest.mark.parametrize(
    ("typed", "code", "told"),
    [
        ("wrong 2; rest fien\nfine 99", 1, 'typed:1:10: "rest fien" is not understood'),
        ("wrong 2: smoke came out", 1, "typed: what was typed may speak of danger, so nothing was kept."),
        ("wrong 3; Danger!", 1, "typed: what was typed may speak of danger, so nothing was kept."),
        ("wrong 3: danger here; rest fine", 1, "may speak of danger, so nothing was kept."),
        ("the rest", 1, "what is the rest? Write: rest fine, or: rest not done"),
        (f"rest fine;{' ' * 20_000}wrong 1", 2, "nothing was kept: that is more than 20000 characters"),
        ("\n", 2, "what was ticked? Write it on one line, such as: wrong 4 9"),
    ],
)
def test_what_is_wrong_in_a_line_is_told_and_nothing_is_kept(run, kept, printed, typed, code, told):
    ran = run("round", "--code", printed[0], "--vehicle", "van 7", typed=typed)
    assert (ran.code, ran.out) == (code, "")
    assert told in ran.err
    assert kept() == ()


def test_what_does_not_go_with_a_code_is_told(run, kept, printed):
    code, _ = printed
    for words, told in [
        (("lay-up", "--code", code), "this code is of a journey round, not of a lay-up"),
        (("--code", code), "this code is of a vehicle that has a name: name it with --vehicle"),
        (("--code", code, "--vehicle", "van 8"), 'this code is of another vehicle than "van 8"'),
        (("--code", code, "--kept"), "--code goes with --vehicle, --by, --resume"),
        (("--code", code[:-1] + "5"), "one character seems wrong, in group 5"),
        (("--code", "057R-R84R-R336-8R87-65M8"), "this is no code of a round; the code of a walk"),
    ]:
        ran = run("round", *words, typed="rest fine")
        assert (ran.code, ran.out) == (2, "")
        assert told in ran.err
    assert run("cases", "confirm", code).err.startswith("this is the code of a round, not of a walk")
    assert kept() == ()


@pytest.mark.long
def test_a_vehicle_that_danger_stopped_takes_no_list_before_it_is_cleared(run, kept, printed):
    run("round", "journey", "--vehicle", "van 7", typed="danger\n")
    ran = run("round", "--code", printed[0], "--vehicle", "van 7", typed="rest fine")
    assert (ran.code, ran.out) == (1, "")
    assert "danger stopped this vehicle, so nothing was kept" in ran.err
    assert len(kept()) == 1


def test_facts_in_a_file_are_taken_strictly(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text("facts: {over-3500: under}\n", encoding="utf-8")
    found = tmp_path / "found.yaml"
    found.write_text(
        "w8-fluids: fine\nvehicle: {build: boat, over-3500: over, biuld: caravan, country: [uk]}\n",
        encoding="utf-8",
    )
    given = ("round", "journey", "--vehicle", "./van.yaml", "--marks", "found.yaml")
    ran = run(*given)
    assert (ran.code, ran.out) == (1, "")
    told = ran.err.splitlines()
    assert told[0] == 'found.yaml:2:18: build is motorhome, campervan, caravan or not-sure, not "boat"'
    assert told[1].startswith("found.yaml:2:35: over-3500 is under on the card, not over; put the card right")
    assert told[2] == 'found.yaml:2:41: no task of the journey round hangs on "biuld" (did you mean "build"?)'
    assert told[3].startswith("found.yaml:2:66: country is uk, ie, ")
    found.write_text("w8-fluids: fine\nvehicle: {build: Caravan}\n", encoding="utf-8")
    why = '"w8-fluids" is not for this vehicle by what was answered of it; it ends as not-fitted'
    assert run(*given).err == f"found.yaml:1:1: {why}\n"
    assert kept() == ()
    found.write_text("j2-gas: fine\nvehicle: {build: caravan, country: not sure}\n", encoding="utf-8")
    assert "1 mark and 2 answers about the vehicle kept in round 1." in run(*given).out
    facts = [(line.subject, line.answer) for line in kept()[0].lines if line.noted == "fact"]
    assert facts == [("build", "caravan"), ("country", "not-sure")]
