"""`diagnose cases check`: what is counted anew, named, and set right."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import NOON, Said


@pytest.fixture
def spoilt(place: Path) -> Path:
    """A confirmed case whose sum is wrong, one of a cause that is gone, one without a tree, one renamed."""
    with open_store(str(place / "cases.sqlite")) as store:
        store.confirm(1, "grit", NOON)
        for symptom, cause in (("step-stuck", "gone-cause"), ("gone-tree", "x"), ("step-stuck", "damp+cold")):
            store.confirm(store.open_case(symptom, "d", "owner", "", NOON), cause, NOON)
        with store.writing() as connection:
            connection.exec_driver_sql("UPDATE cause_sums SET total = 7 WHERE cause = 'grit'")
    return place


WITHOUT_PLACE = """
These confirmed causes are none in their tree now, and count for nothing.
Confirm the cases anew, or name the old id under `was` in the tree:
  step-stuck, gone-cause: 1 case (3)

The trees of these cases are not at hand; until they are, they count for
nothing:
  gone-tree: 1 case (4)
"""


def test_what_differs_is_told_and_is_exit_code_one(spoilt: Path, said: Said) -> None:
    assert said("cases", "check") == (
        1,
        "5 cases, 4 confirmed.\n\n1 sum differs from what the cases come to:\n"
        "  causes: step-stuck, grit, 2026, cured: 7 kept, 1 counted\n"
        f"To set them right: diagnose cases check --mend\n{WITHOUT_PLACE}",
        "",
    )


def test_the_same_as_json(spoilt: Path, said: Said) -> None:
    code, out, err = said("cases", "check", "--json")
    assert (code, err) == (1, "")
    assert json.loads(out) == {
        "cases": 5,
        "confirmed": 4,
        "differences": [
            {
                "table": "causes",
                "symptom": "step-stuck",
                "cause": "grit",
                "year": 2026,
                "ending": "cured",
                "kept": 7,
                "counted": 1,
            }
        ],
        "unsound": [],
        "cause_gone": [{"symptom": "step-stuck", "cause": "gone-cause", "cases": 1, "numbers": [3]}],
        "tree_not_at_hand": [{"symptom": "gone-tree", "cases": 1, "numbers": [4]}],
        "merged_cause_gone": [],
        "standing": [],
        "mended": False,
    }


def test_mending_needs_a_yes_where_nobody_can_be_asked(spoilt: Path, said: Said) -> None:
    code, out, err = said("cases", "check", "--mend")
    assert (code, out) == (2, "")
    assert err.endswith("\n\nNobody can be asked here; with --yes it is done.\n")
    assert said("cases", "check", "--mend", "--json")[0] == 2
    assert said("cases", "check", "--yes")[0] == 2
    assert said("cases", "check")[0] == 1


def test_mending_sets_the_sums_right_and_the_rest_is_still_told(spoilt: Path, said: Said) -> None:
    code, out, err = said("cases", "check", "--mend", "--yes")
    assert (code, err) == (0, "")
    assert out.endswith(f"{WITHOUT_PLACE}1 sum set right; every sum is what the cases come to.\n")
    assert said("cases", "check") == (
        0,
        f"5 cases, 4 confirmed.\nAll 7 sums are what the cases come to.\n{WITHOUT_PLACE}",
        "",
    )
    assert json.loads(said("cases", "check", "--mend", "--yes", "--json")[1])["mended"] is False


def test_mending_as_json_is_one_document(spoilt: Path, said: Said) -> None:
    code, out, err = said("cases", "check", "--mend", "--yes", "--json")
    document = json.loads(out)
    assert (code, err, document["mended"], len(document["differences"])) == (0, "", True, 1)


def test_a_store_that_is_not_sound_is_told(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store, store.writing() as connection:
        connection.exec_driver_sql("DELETE FROM entries WHERE case_id = 1 AND number = 3")
    assert said("cases", "check") == (
        1,
        "2 cases, 0 confirmed.\n\nThe store is not sound:\n  case 1 should have 11 lines and has 10\n"
        "Keep a copy of it as it is, and put back an earlier one (docs/store.md).\n"
        "All 2 sums are what the cases come to.\n",
        "",
    )


def test_a_store_with_one_sum_or_none_says_so(place: Path, said: Said) -> None:
    other = place / "other.sqlite"
    with open_store(str(other)) as store:
        assert said("cases", "check", "--cases", str(other))[1] == "0 cases, 0 confirmed.\nNo sum is kept.\n"
        store.end_case(store.open_case("step-stuck", "d", "owner", "", NOON), "referred", NOON)
    assert said("cases", "check", "--cases", str(other))[1] == (
        "1 case, 0 confirmed.\nThe one sum is what the cases come to.\n"
    )


def test_where_nothing_is_kept_there_is_nothing_to_check(place: Path, said: Said) -> None:
    missing = place / "none.sqlite"
    told = f"no case is kept yet in {missing}; there is nothing to check"
    assert said("cases", "check", "--cases", str(missing)) == (1, "", f"{told}\n")
    assert (
        json.loads(said("cases", "check", "--json", "--cases", str(missing))[1])["errors"][0]["message"]
        == told
    )
    assert not missing.exists()


def test_a_broken_tree_is_as_if_it_were_not_at_hand(spoilt: Path, said: Said) -> None:
    (spoilt / "trees" / "step-stuck.yaml").write_text("symptom: no more\n")
    missing = json.loads(said("cases", "check", "--json")[1])["tree_not_at_hand"]
    assert missing == [
        {"symptom": "gone-tree", "cases": 1, "numbers": [4]},
        {"symptom": "step-stuck", "cases": 4, "numbers": [1, 2, 3, 5]},
    ]


def test_a_case_that_is_yet_to_begin_is_told(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        store.open_case("step-stuck", "d", "owner", "", NOON.replace(year=2099))
    code, out, _ = said("cases", "check")
    assert code == 1
    assert "The store is not sound:\n  case 3 was opened on 2099-03-01, which is yet to come\n" in out
