"""`diagnose cases show`: the walk as it went, and what is known of a case that nobody walked here."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from diagnose.cases.adding import KnownCase, add_known
from diagnose.cases.arriving import take_in
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.terms import Finding
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
One page for the engineer:
  diagnose sheet 1

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


def kept(place: Path, *lines: Entry, state: str = "left-off") -> str:
    """The number of a case with this journal."""
    with open_store(str(place / "cases.sqlite")) as store:
        case = store.open_case("step-stuck", "d", "owner", "", NOON)
        for line in lines:
            store.append(case, line)
        if state != "open":
            store.end_case(case, state, NOON)  # type: ignore[arg-type]
    return str(case)


def walk_in(out: str) -> list[str]:
    lines = out.splitlines()
    return lines[lines.index("How the walk went:") + 1 : -2]


def test_a_reading_stands_with_its_unit_and_its_doubt(place: Path, said: Said) -> None:
    case = kept(
        place,
        Entry(NOON, "finding", "volts", "low", 11.25, 0.1),
        Entry(NOON, "finding", "squeak", "yes", ahead=True),
        Entry(NOON, "finding", "no-more", "x", 3.5, 0.5),
    )
    assert walk_in(said("cases", "show", case)[1]) == [
        "  2026-03-01",
        "  12:00  What does the panel show? 11.25 ± 0.1 V",
        "  12:00  Does it squeak? It squeaks (said without being asked)",
        "  12:00  no-more: x (no longer in the tree)",
    ]


def test_pauses_are_told_and_plans_are_not(place: Path, said: Said) -> None:
    at = [NOON + timedelta(minutes=minutes) for minutes in (0, 29, 60, 61, 60 * 24, 60 * 24 * 4)]
    case = kept(
        place,
        Entry(at[0], "finding", "squeak", "no"),
        Entry(at[1], "unsure", "squeak", None),
        Entry(at[2], "planned", "grit", "remedy"),
        Entry(at[3], "resumed", "time", None),
        Entry(at[4], "finding", "squeak", "no"),
        Entry(at[5], "left-off", "", None),
    )
    assert walk_in(said("cases", "show", case)[1]) == [
        "  2026-03-01",
        "  12:00  Does it squeak? Silent",
        "  12:29  Does it squeak? Not sure at first; fetching a torch or somebody was",
        "         suggested.",
        "  (32 minutes later)",
        "  13:01  Half an hour had passed; the danger questions were due again.",
        "  2026-03-02 (the next day)",
        "  12:00  Does it squeak? Silent",
        "  2026-03-05 (3 days later)",
        "  12:00  Left off.",
    ]


def test_a_case_that_was_logged_when_it_was_over_has_no_walk(place: Path, said: Said) -> None:
    found = (Finding("squeak", "yes"), Finding("volts", "low", 11.2, 0.1))
    with open_store(str(place / "cases.sqlite")) as store:
        for findings, state in ((found, "cured"), ((), "stopped")):
            add_known(store, KnownCase("step-stuck", "d", "cold+damp", state, NOON, "van 7", findings), NOON)
    assert said("cases", "show", "3") == (
        0,
        """\
Case 3: The step will not fold in
Vehicle: van 7
Logged by a technician when it was over, for 2026-03-01.
Cured.
Confirmed. It turned out to be: Water stands in the hinge and It is below
freezing (cold+damp).

The tree has changed since; its words are those of today.

What was found:
  - Does it squeak? It squeaks
  - What does the panel show? 11.2 ± 0.1 V

This does not certify that the vehicle is safe.
""",
        "",
    )
    out = said("cases", "show", "4")[1]
    assert "Stopped.\nBefore it is walked again, somebody qualified has to clear the vehicle.\n" in out
    assert "\nWhat was found was not written down.\n" in out


def test_a_case_that_was_brought_in_says_whose_it_is(place: Path, said: Said) -> None:
    lines = (Entry(NOON, "finding", "squeak", "no"), Entry(NOON, "tried", "grit", "not-cured"))
    with open_store(str(place / "cases.sqlite")) as store:
        record = CaseRecord(
            0,
            "step-stuck",
            "d",
            "owner",
            "referred",
            NOON,
            NOON,
            source="fleet",
            source_case="A-17",
            entries=lines,
        )
        take_in(store, record, "damp+frost", NOON)
    code, out, _ = said("cases", "show", "3")
    assert code == 0
    assert out.startswith(
        "Case 3: The step will not fold in\n"
        "Brought in: case A-17 of fleet, of 2026-03-01.\n"
        "Referred.\n"
        "Confirmed. It turned out to be: "
    )
    assert "What was found:\n  - Does it squeak? Silent\n  - Tried: Brush it clean. No better.\n" in out
    assert "Code:" not in out
    (document,) = json.loads(said("cases", "show", "3", "--json")[1])["cases"]
    assert (document["source"], document["source_case"]) == ("fleet", "A-17")


def test_several_cases_have_a_page_each_in_the_order_asked_for(place: Path, said: Said) -> None:
    out = said("cases", "show", "2", "1", "2")[1]
    assert [line for line in out.splitlines() if line.startswith("Case ")] == [
        "Case 2: The step will not fold in",
        "Case 1: The step will not fold in",
    ]
    one, two = (said("cases", "show", case)[1] for case in ("1", "2"))
    assert out == f"{two}\n\n{one}"
    assert [case["case"] for case in json.loads(said("cases", "show", "1", "2", "--json")[1])["cases"]] == [
        1,
        2,
    ]


def test_nothing_is_shown_where_one_of_several_is_not_there(place: Path, said: Said) -> None:
    assert said("cases", "show", "1", "9") == (
        1,
        "",
        "there is no case 9; `diagnose cases list` shows those there are\n",
    )
    assert said("cases", "show")[0] == 2


def test_a_confirmed_cause_under_its_old_id_has_its_words_of_today(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        store.confirm(2, "damp+cold", NOON)
        store.confirm(1, "gone-from-the-tree", NOON)
    out = said("cases", "show", "2")[1]
    assert "Water stands in the hinge and It is below freezing" in " ".join(out.split())
    assert "It turned out to be: gone-from-the-tree.\n" in said("cases", "show", "1")[1]
