"""`diagnose cases show`, in the process."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.walking.case_codes import code_of
from tests.cli.cases.step_stuck import NOON, Said


def test_a_case_is_shown_as_the_walk_went_in_the_words_of_its_tree(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        code = code_of(store.case(1), Library((place / "trees",)).tree("step-stuck"), store.origin)
    assert said("cases", "show", "1") == (
        0,
        f"""\
Case 1: The step will not fold in
Vehicle: the blue van
Opened 2026-03-01 by an owner.
Cured; the cure points to: Grit holds it (grit).
Not confirmed. Once you know what it was:
  diagnose cases confirm 1
Code: {code}

The tree has changed since; its words are those of today.

How the walk went:
  2026-03-01
  12:00  Shown: CAUTION. Keep your fingers away from the hinge.
  12:01  (taken back) Does it squeak? Silent
  12:03  Does it squeak? Not sure
  12:04  What does the panel show? 11.25 V
  12:05  Tried: Dry it. Wait for a milder day. Could not be done.
  12:06  Tried: Brush it clean. Works now.
  12:07  Does it fold in and out three times? Yes
  12:08  Left off.
  12:09  Taken up again.
  12:10  gone-long-ago: yes (no longer in the tree)

This does not certify that the vehicle is safe.
""",
        "",
    )


def test_a_referred_case_says_to_whom_and_how_to_confirm_it(place: Path, said: Said) -> None:
    out = said("cases", "show", "2")[1]
    assert out.startswith(
        "Case 2: The step will not fold in\n"
        "Opened 2026-03-03 by a technician.\n"
        f"Referred to: {Library().common().referrals['workshop'].to}.\n"
        "Not confirmed. Once you know what it was:\n"
        "  diagnose cases confirm 2 CAUSE\n"
    )
    assert "  nothing was asked yet\n" in out
    said("cases", "confirm", "2", "not-listed")
    assert "Confirmed. It turned out to be: something that is not listed.\n" in said("cases", "show", "2")[1]


def test_a_case_whose_tree_is_not_at_hand_is_shown_all_the_same(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("DIAGNOSE_TREES")
    code, out, _ = said("cases", "show", "1")
    assert code == 0
    assert out.startswith("Case 1: step-stuck\n")
    assert "The tree of this case is not at hand, so ids stand for its words.\n" in out
    assert "  12:01  (taken back) squeak: no\n" in out
    assert "  12:05  Tried: damp+cold. Could not be done.\n" in out


def test_a_case_as_json_has_its_findings_and_every_step(place: Path, said: Said) -> None:
    code, out, err = said("cases", "show", "1", "--json")
    assert (code, err) == (0, "")
    (case,) = json.loads(out)["cases"]
    assert case["findings"] == [
        {"check": "squeak", "answer": "not-sure", "time": "2026-03-01T12:03:00Z"},
        {"check": "volts", "reading": 11.25, "time": "2026-03-01T12:04:00Z"},
        {"check": "gone-long-ago", "answer": "yes", "time": "2026-03-01T12:10:00Z"},
    ]
    assert [step["number"] for step in case["steps"]] == list(range(1, 12))
    assert [step["number"] for step in case["steps"] if step["taken_back"]] == [2]
    assert case["steps"][4] == {
        "number": 5,
        "time": "2026-03-01T12:04:00Z",
        "kind": "finding",
        "subject": "volts",
        "answer": "low",
        "reading": 11.25,
        "uncertainty": None,
        "ahead": False,
        "taken_back": False,
    }
    listed = json.loads(said("cases", "list", "--json")[1])["cases"][1]
    assert {key: case[key] for key in listed if key != "findings"} == {
        key: listed[key] for key in listed if key != "findings"
    }


def test_a_number_that_is_none_is_wrong_usage(place: Path, said: Said) -> None:
    code, out, err = said("cases", "show", "three")
    assert (code, out) == (2, "")
    assert "'three' is not a valid integer" in err


def test_a_stopped_case_says_that_somebody_has_to_clear_the_vehicle(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        case = store.open_case("step-stuck", "d", "owner", "", NOON)
        store.append(case, Entry(NOON, "danger", "mains-danger"))
        store.end_case(case, "stopped", NOON, referral="mains-danger")
    out = said("cases", "show", str(case))[1]
    assert f"Stopped for danger; to call: {Library().common().referrals['mains-danger'].to}" in " ".join(
        out.split()
    )
    assert "Before it is walked again, somebody qualified has to clear the vehicle.\n" in out
    assert "  12:00  Danger was said; the walk was stopped.\n" in out
