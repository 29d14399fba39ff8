"""What the square code of a sheet holds, read into another store: before the outcome is known, or with it."""

from __future__ import annotations

import json

import pytest

from diagnose.cases.store import open_store
from tests.cli.handed_on_case import MAY, case_of, code_at, sentences, tag_at, tally_of

READING = "VOLTS:12.4:0.1"


def findings_of(record):
    return [(line.subject, line.answer, line.value, line.uncertainty) for line in record.entries]


@pytest.fixture
def held(place):
    return f"{code_at(place)} {READING}"


def test_a_case_is_opened_before_anybody_knows_what_it_was(place, held, workshop, said):
    assert sentences(said("cases", "add", "--code", held)) == (
        f"Case 1 of the store {tag_at(place)} is opened here as case 1, not confirmed yet. "
        "Once it is known what it was: diagnose cases confirm 1 CAUSE"
    )
    kept = case_of(workshop)
    assert (kept.confirmed, kept.cause, kept.state, kept.vehicle) == (False, "", "referred", "")
    assert findings_of(kept) == [
        ("squeak", "no", None, None),
        ("volts", "good", 12.4, 0.1),
        ("grit", "not-cured", None, None),
    ]
    assert tally_of(workshop).causes == {}
    assert (tally_of(workshop).endings["referred"].ended, tally_of(workshop).total) == (1.0, 0.0)
    assert said("cases", "check")[0] == 0


def test_its_sheet_here_says_whose_case_it_is_and_knows_no_times(place, held, workshop, said):
    said("cases", "add", "--code", held)
    text = said("sheet", "1", "--format", "text")[1]
    assert f"\nBrought in: case 1 of {tag_at(place)}\n" in text
    assert "\nDate: 2026-05-01\n" in text
    assert "What was found, in order:\n- Does it squeak? Silent\n" in text
    assert "\nThere is no code: the walk has not ended here.\n" in text
    page = said("sheet", "1", "--format", "html")[1]
    assert "00:00</td>" not in page
    assert '<tr><th scope="row">Does it squeak?</th><td>Silent</td></tr>' in page


def test_the_same_again_counts_once_and_the_outcome_comes_by_code_or_by_number(
    place,
    held,
    workshop,
    said,
):
    said("cases", "add", "--code", held)
    assert sentences(said("cases", "add", "--code", code_at(place))) == (
        f"Case 1 of the store {tag_at(place)} is here already as case 1, not confirmed yet; "
        "nothing was opened."
    )
    assert "which is case 1 here, not confirmed yet." in said("cases", "confirm", held)[1]
    assert said("cases", "confirm", held, "2")[0] == 0
    assert tally_of(workshop).causes == {"motor": 1.0}
    assert tally_of(workshop).endings["referred"].ended == 1.0
    assert "confirmed as motor; nothing was opened" in sentences(said("cases", "add", "--code", held))
    assert said("cases", "check")[0] == 0


@pytest.mark.parametrize("as_words", [lambda held: [held], str.split, lambda held: held.lower().split()])
def test_with_the_outcome_the_exact_readings_come_in_as_well(held, workshop, said, as_words):
    assert said("cases", "confirm", *as_words(held), "2")[0] == 0
    assert findings_of(case_of(workshop))[1] == ("volts", "good", 12.4, 0.1)


def test_what_it_holds_is_shown_with_the_reading(held, said):
    assert "  - What does the panel show? 12.4 ± 0.1 V.\n" in said("cases", "confirm", held)[1]


def test_in_its_own_store_nothing_is_opened(place, held, said):
    assert sentences(said("cases", "add", "--code", held)) == (
        "This is case 1 of this very store; nothing was opened."
    )
    document = json.loads(said("cases", "add", "--code", held, "--json")[1])
    assert [case["case"] for case in document["cases"]] == [1]
    with open_store(str(place / "owner.sqlite")) as store:
        assert len(store.cases()) == 1


@pytest.mark.parametrize(
    ("behind", "exit_code", "told"),
    [
        ("VOLTS:99:0.1", 1, "VOLTS:99:0.1: 99 V is outside the range of that check, 0 to 16 V"),
        ("SQUEAK:1", 1, "SQUEAK:1: the case of this code has no reading of that check (its readings: VOLTS)"),
        ("VOLTS:11:0.1", 1, 'by its code this reading is "good: 11.5 V or more", and 11 V is not'),
        ("VOLTS:12:x", 2, "is not written as a reading behind a code is"),
        ("2", 2, '"2" is no code'),
    ],
)
def test_what_its_case_cannot_hold_is_refused_and_no_store_is_made(
    place,
    workshop,
    said,
    behind,
    exit_code,
    told,
):
    code, out, err = said("cases", "add", "--code", f"{code_at(place)} {behind}")
    assert (code, out) == (exit_code, "")
    assert told in err
    assert err.count("\n") == 1
    assert not workshop.exists()


def test_a_slip_in_the_code_is_told_with_its_group(held, workshop, said):
    wrong = held[:10] + ("0" if held[10] != "0" else "1") + held[11:]
    assert "one character seems wrong, in group 3" in said("cases", "add", "--code", wrong)[2]


@pytest.mark.parametrize("code", ["", "  ", "42"])
def test_what_is_no_code_is_told_in_one_line(place, said, code):
    exit_code, out, err = said("cases", "add", "--code", code)
    assert (exit_code, out, err.count("\n")) == (2, "", 1)
    assert "no code" in err


def test_nothing_else_goes_with_a_code(held, said):
    exit_code, _, err = said("cases", "add", "grit", "--code", held)
    assert (exit_code, err.count("\n")) == (2, 1)
    assert "only --cases, --trees and --json go with it" in err


def test_nothing_of_the_vehicle_came_along(place, held, workshop, said):
    said("cases", "add", "--code", held)
    assert case_of(place / "owner.sqlite").vehicle == "the blue van"
    assert case_of(workshop).vehicle == ""
    assert case_of(workshop).opened == MAY.replace(day=1, hour=0, minute=0)
