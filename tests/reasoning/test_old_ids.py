"""Sums that were kept under older ids count under today's; a cause that is gone counts for nothing."""

from __future__ import annotations

from diagnose.reasoning.learning import tally_of, without_place
from diagnose.reasoning.model import build_model
from diagnose.terms import Tally
from tests.reasoning.by_hand import cause, check, content_of, faults, gate
from tests.reasoning.made_up_trees import read

TREE = read(
    content_of(
        faults(
            fuse=cause(30, was=["fuse-blown"]),
            pair=gate("all_of", 20, pump=cause(was=["motor"]), wire=cause()),
            tank=cause(45),
        ),
        {"look": check(was=["peep"], expect={"fuse": {"one": 0.9}})},
    ),
    "by-hand",
)
KEPT = Tally(
    {"fuse": 2, "fuse-blown": 3, "wire+motor": 4, "gone": 5, "not-listed": 1, "pump": 6},
    {
        ("fuse-blown", "peep", "one"): 3,
        ("fuse", "look", "one"): 2,
        ("fuse", "look", "three"): 7,
        ("wire+motor", "look", "two"): 4,
        ("gone", "look", "one"): 5,
    },
)


def test_old_ids_are_read_as_todays_and_sums_of_both_are_added():
    here = tally_of(TREE, KEPT)
    assert here.causes == {"fuse": 5, "pump+wire": 4, "not-listed": 1}
    assert here.answers == {("fuse", "look", "one"): 5, ("pump+wire", "look", "two"): 4}


def test_a_confirmed_cause_that_exists_no_more_is_named():
    assert without_place(TREE, KEPT) == ("gone", "pump")


def test_the_prior_counts_what_stands_under_an_old_id():
    plain, counted = build_model(TREE), build_model(TREE, tally=KEPT)
    gained = counted.alpha - plain.alpha
    assert dict(zip(counted.ids, gained.round(12).tolist(), strict=True)) == {
        "fuse": 5,
        "pump+wire": 4,
        "tank": 0,
        "not-listed": 1,
    }


def test_half_a_case_of_a_cause_that_is_gone_is_named_and_none_is_not():
    assert without_place(TREE, Tally({"gone": 0.5, "never": 0.0, "fuse": 1.0})) == ("gone",)
