"""`diagnose cases confirm` by a case's number, in the process."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import NOON, Said


def test_without_a_cause_it_is_what_the_cure_points_to(place: Path, said: Said) -> None:
    assert said("cases", "confirm", "1") == (
        0,
        "Case 1 is confirmed: Grit holds it (grit). It counts from the next walk on.\n",
        "",
    )
    with open_store(str(place / "cases.sqlite")) as store:
        tally = store.tally("step-stuck", NOON)
    assert tally.causes == {"grit": 1.0}
    assert tally.answers == {("grit", "volts", "low"): 1.0, ("grit", "gone-long-ago", "yes"): 1.0}


def test_without_a_cause_or_a_cure_the_causes_are_listed(place: Path, said: Said) -> None:
    assert said("cases", "confirm", "2") == (
        2,
        "",
        "case 2 has no cure that points to a cause; write which it was:\n"
        "  1 grit: Grit holds it\n"
        "  2 damp+frost: Water stands in the hinge and It is below freezing\n"
        "  3 not-listed: Something else, not in this list\n"
        "For example: diagnose cases confirm 2 grit\n",
    )


def test_the_causes_of_a_cut_set_may_stand_in_any_order_and_under_old_ids(place: Path, said: Said) -> None:
    code, out, _ = said("cases", "confirm", "2", "frost+damp", "--json")
    assert code == 0
    assert json.loads(out)["cases"][0]["cause"] == "damp+frost"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("gritt", '"gritt" is no cause of step-stuck (did you mean "grit"?)'),
        ("damp", "damp makes this symptom only together with others; write damp+frost"),
    ],
)
def test_a_cause_that_will_not_do_is_told_with_what_would(
    place: Path, said: Said, words: str, told: str
) -> None:
    assert said("cases", "confirm", "2", words) == (1, "", f"{told}\n")
    code, out, err = said("cases", "confirm", "2", words, "--json")
    assert (code, err) == (1, "")
    assert json.loads(out) == {"errors": [{"file": None, "line": None, "column": None, "message": told}]}
    with open_store(str(place / "cases.sqlite")) as store:
        assert not store.case(2).confirmed


def test_confirming_twice_counts_once_and_another_cause_moves_the_count(place: Path, said: Said) -> None:
    said("cases", "confirm", "1")
    assert said("cases", "confirm", "1", "grit")[1] == (
        "Case 1 was confirmed as this already: Grit holds it (grit). Nothing has changed.\n"
    )
    assert said("cases", "confirm", "1", "not-listed")[1] == (
        "Case 1 is now confirmed as: something that is not listed. Until now it counted\n"
        "as grit; the counts have moved.\n"
    )
    with open_store(str(place / "cases.sqlite")) as store:
        assert store.tally("step-stuck", NOON).causes == {"not-listed": 1.0}


def test_a_case_whose_tree_is_not_at_hand_can_only_be_something_not_listed(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("DIAGNOSE_TREES")
    assert said("cases", "confirm", "1", "grit") == (
        1,
        "",
        'the tree "step-stuck" of case 1 is not at hand; name its folder with --trees\n',
    )
    assert said("cases", "confirm", "1", "not-listed")[0] == 0
    assert said("cases", "confirm", "1", "grit", "--trees", str(place / "trees"))[0] == 0
