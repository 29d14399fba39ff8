"""Outcomes come home: `diagnose cases confirm CODE NUMBER`, where the case was opened and elsewhere."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from tests.cli.handed_on_case import MAY, case_of, code_at, handed_on, sentences, tag_at, tally_of, tree_at

HELD = """\
The step will not fold in (handed on; begun in May 2026)
{whose}

What was found:
  - Does it squeak? Silent.
  - What does the panel show? good: 11.5 V or more.

What was tried:
  - Brush it clean: no better.

What did it turn out to be?
  1  Grit holds it
  2  Its motor has failed
  3  Something else, not in this list

{then}
  diagnose cases confirm {code} NUMBER{options}
"""


# Where the case was opened ----------------------------------------------------------------------------------


def test_code_and_number_close_the_case_where_it_was_opened(place, said):
    assert said("cases", "confirm", code_at(place), "2") == (
        0,
        "Case 1 is confirmed: Its motor has failed (motor). It counts from the next walk on.\n",
        "",
    )
    assert tally_of(place / "owner.sqlite").causes == {"motor": 1.0}


@pytest.mark.parametrize(
    "spell",
    [
        str.lower,
        lambda code: code.replace("-", " "),
        lambda code: code.replace("-", ""),
        lambda code: code.replace("0", "O").replace("1", "l"),
    ],
)
def test_a_code_may_be_written_in_any_way(place, said, spell):
    code = spell(code_at(place))
    assert said("cases", "confirm", *code.split(), "motor")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


def test_without_a_number_the_code_is_told_and_nothing_is_confirmed(place, said):
    code = code_at(place)
    told = HELD.format(
        whose="This is case 1 here, not confirmed yet.",
        then="Nothing has been confirmed yet. To do so:",
        code=code,
        options="",
    )
    assert said("cases", "confirm", code.lower()) == (0, told, "")
    document = json.loads(said("cases", "confirm", code, "--json")[1])
    assert [case["case"] for case in document["cases"]] == [1]
    assert document["outcomes"] == [
        {"number": 1, "cause": "grit", "says": "Grit holds it"},
        {"number": 2, "cause": "motor", "says": "Its motor has failed"},
        {"number": 3, "cause": "not-listed", "says": "Something else, not in this list"},
    ]
    assert not case_of(place / "owner.sqlite").confirmed


def test_the_last_number_and_nought_are_something_that_is_not_listed(place, said):
    for number in ("3", "0"):
        assert said("cases", "confirm", code_at(place), number)[0] == 0
        assert case_of(place / "owner.sqlite").cause == "not-listed"


def test_a_case_that_was_taken_up_again_is_closed_by_its_code(place, said):
    code, file = code_at(place), place / "owner.sqlite"
    with open_store(str(file)) as store:
        store.reopen(1, MAY + timedelta(days=1))
        store.append(1, Entry(MAY + timedelta(days=1), "finding", "squeak", "yes"))
    assert sentences(said("cases", "confirm", code, "2")) == (
        "Case 1 is confirmed: Its motor has failed (motor). It counts from the next walk on. "
        "It had been taken up again since; it is over now (handed on)."
    )
    assert (case_of(file).state, case_of(file).cause) == ("referred", "motor")
    ended = tally_of(file).endings["referred"]
    assert (ended.ended, ended.confirmed) == (1.0, 1.0)


def test_a_case_that_was_stopped_stays_so(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        case = handed_on(store, tree_at(place), "stopped")
    assert said("cases", "confirm", code_at(place, case), "1")[0] == 0
    kept = case_of(place / "owner.sqlite", case)
    assert (kept.state, kept.confirmed) == ("stopped", True)
    assert said("walk", "--resume", str(case))[0] == 1


def test_a_code_that_was_used_says_so_and_another_cause_moves_the_count(place, said):
    code = code_at(place)
    said("cases", "confirm", code, "2")
    assert sentences(said("cases", "confirm", code, "motor")) == (
        "Case 1 was confirmed as this already: Its motor has failed (motor). Nothing has changed."
    )
    assert sentences(said("cases", "confirm", code, "1")) == (
        "Case 1 is now confirmed as: Grit holds it (grit). Until now it counted as motor; "
        "the counts have moved."
    )
    assert tally_of(place / "owner.sqlite").causes == {"grit": 1.0}


def test_the_code_of_a_case_is_shown_and_is_in_the_document(place, said):
    code = code_at(place)
    assert f"\nCode: {code}\n" in said("cases", "show", "1")[1]
    assert json.loads(said("cases", "show", "1", "--json")[1])["cases"][0]["code"] == code
    with open_store(str(place / "owner.sqlite")) as store:
        store.reopen(1, MAY)
    assert "Code" not in said("cases", "show", "1")[1]
    assert json.loads(said("cases", "show", "1", "--json")[1])["cases"][0]["code"] is None


def test_a_number_goes_with_the_number_of_a_case_too(place, said):
    assert said("cases", "confirm", "1", "2")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


# On another machine -----------------------------------------------------------------------------------------


def test_on_another_machine_a_code_opens_its_case_confirmed_and_just_once(place, workshop, said):
    code, tag = code_at(place), tag_at(place)
    told = HELD.format(
        whose=f"This is case 1 of the store {tag}; it has not come here yet.",
        then="Nothing has been confirmed yet. To do so:",
        code=code,
        options="",
    )
    assert said("cases", "confirm", code) == (0, told, "")
    assert not workshop.exists()
    assert sentences(said("cases", "confirm", code, "2")) == (
        f"Case 1 of the store {tag} is opened here as case 1 and confirmed: Its motor has failed (motor). "
        "It counts from the next walk on."
    )
    kept = case_of(workshop)
    assert (kept.source, kept.source_case, kept.state, kept.vehicle) == (tag, "1", "referred", "")
    assert (kept.opened, kept.role) == (datetime(2026, 5, 1, tzinfo=UTC), "owner")
    assert [(line.kind, line.subject, line.answer, line.value) for line in kept.entries] == [
        ("finding", "squeak", "no", None),
        ("finding", "volts", "good", None),
        ("tried", "grit", "not-cured", None),
    ]
    assert tally_of(workshop).causes == {"motor": 1.0}
    assert tally_of(workshop).answers == {("motor", "squeak", "no"): 1.0, ("motor", "volts", "good"): 1.0}
    assert sentences(said("cases", "confirm", code, "2")) == (
        f"This is case 1 of the store {tag}, which came before. Case 1 was confirmed as this already: "
        "Its motor has failed (motor). Nothing has changed."
    )
    assert sentences(said("cases", "confirm", code, "1")).endswith("; the counts have moved.")
    assert tally_of(workshop).causes == {"grit": 1.0}
    assert f"\nBrought in: case 1 of {tag}, of 2026-05-01.\n" in said("cases", "show", "1")[1]
    assert "which is case 1 here, confirmed as grit." in said("cases", "confirm", code)[1]


def test_a_stop_from_elsewhere_does_not_stand_in_the_way_of_a_vehicle_here(place, workshop, said):
    with open_store(str(place / "owner.sqlite")) as store:
        case = handed_on(store, tree_at(place), "stopped")
    assert said("cases", "confirm", code_at(place, case), "2")[0] == 0
    assert case_of(workshop).state == "stopped"
    with open_store(str(workshop)) as store:
        assert list(store.newest_first("")) == []
