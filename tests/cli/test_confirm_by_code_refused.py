"""Codes that `diagnose cases confirm` does not take: slips, other cases, later versions, unknown symptoms."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from diagnose.cases.codes import number_of, written
from diagnose.cases.store import open_store
from diagnose.walking.case_codes import code_of
from tests.cli.handed_on_case import MAY, case_of, code_at, tag_at, tally_of, tree_at


def test_a_slip_of_the_pen_is_told_with_its_group(place, said):
    code = code_at(place)
    wrong = code[:10] + ("0" if code[10] != "0" else "1") + code[11:]
    told = "one character seems wrong, in group 3; look at that group again, or have it read out"
    assert said("cases", "confirm", wrong, "2") == (2, "", f"{told}\n")
    exit_code, out, _ = said("cases", "confirm", wrong, "2", "--json")
    assert (exit_code, json.loads(out)["errors"][0]["message"]) == (2, told)
    assert not case_of(place / "owner.sqlite").confirmed


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("hello",), '"hello" is neither the number of a case nor a code'),
        (("-1",), "No such option"),
        (("1", "9"), "there is no outcome 9; they are:"),
    ],
)
def test_what_is_neither_a_case_nor_a_code_is_told(place, said, words, told):
    exit_code, out, err = said("cases", "confirm", *words)
    assert exit_code in (1, 2)
    assert out == ""
    assert told in err


def test_a_number_beyond_the_outcomes_is_told_with_the_outcomes(place, said):
    assert said("cases", "confirm", code_at(place), "4") == (
        1,
        "",
        "there is no outcome 4; they are:\n"
        "  1 grit: Grit holds it\n"
        "  2 motor: Its motor has failed\n"
        "  3 not-listed: Something else, not in this list\n",
    )


def test_a_case_that_this_store_has_lost_is_told(place, said):
    code, tag = code_at(place), tag_at(place)
    (place / "owner.sqlite").unlink()
    with open_store(str(place / "owner.sqlite")) as store, store.writing() as connection:
        connection.exec_driver_sql(f"UPDATE store_identity SET origin = '{tag}000000000000'")
    assert said("cases", "confirm", code, "2")[::2] == (
        1,
        "there is no case 1; `diagnose cases list` shows those there are\n",
    )


def test_a_code_that_names_another_case_of_this_store_is_refused(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        other = replace(store.case(1), opened=MAY.replace(month=4))
        code = code_of(other, tree_at(place), store.origin)
    exit_code, _, err = said("cases", "confirm", code, "2")
    assert exit_code == 1
    assert err.startswith(
        "this code is not of case 1, which has another symptom or was opened in another month;"
    )
    assert not case_of(place / "owner.sqlite").confirmed


def test_two_stores_of_the_same_short_name_are_not_taken_for_one(place, workshop, said):
    said("cases", "confirm", code_at(place), "2")
    with open_store(str(place / "owner.sqlite")) as store:
        other = replace(store.case(1), opened=MAY.replace(month=4))
        code = code_of(other, tree_at(place), store.origin)
    exit_code, _, err = said("cases", "confirm", code, "1")
    assert exit_code == 1
    assert (
        f"this code is not of case 1, case 1 of the store {tag_at(place)}, which has another symptom" in err
    )
    assert tally_of(workshop).causes == {"motor": 1.0}


def test_a_code_of_a_later_version_is_told(place, said):
    later = written(number_of(code_at(place)) + 1)
    assert said("cases", "confirm", later, "2") == (
        1,
        "",
        "this code was made by a later version of the program; update this one to read it\n",
    )


def test_a_symptom_that_is_not_at_hand_is_told(place, workshop, said, monkeypatch):
    code = code_at(place)
    monkeypatch.delenv("DIAGNOSE_TREES")
    told = "no tree at hand has the symptom of this code; name its folder with --trees\n"
    assert said("cases", "confirm", code, "2") == (1, "", told)
    assert said("cases", "confirm", code, "2", "--trees", str(place / "trees"))[0] == 0
