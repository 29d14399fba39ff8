"""Sums of several stores together: what is added, replaced, left alone, refused and taken out again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.exchange_reading import read_export
from diagnose.cases.merging import (
    MOST_LOST,
    Merged,
    NotMerged,
    NumberOutOfPlace,
    SameNumberOtherSums,
    Standing,
    merge,
    named,
    planned,
    standing,
    take_out,
)
from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.learning import tally_of
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Settings, Situation
from tests.cases.exports import LATER, NOON, NORTH, SOUTH, WEST, export, outcomes, rows_of, sums_of

# One file after the other -----------------------------------------------------------------------------------


def test_what_another_store_exports_counts_here_as_it_does_there(
    store: CaseStore, url: str, fresh_url: Callable[[str], str], found: Callable[..., Entry]
) -> None:
    with open_store(fresh_url(url)) as other:
        for kept, cause in ((store, "grit"), (other, "grit"), (other, "frost")):
            case = kept.open_case("hob", "d", "owner", "", NOON)
            kept.append(case, found("flame", "weak"))
            kept.confirm(case, cause, NOON)
            kept.end_case(case, "cured", NOON)
        other.end_case(other.open_case("hob", "d", "owner", "", NOON), "referred", NOON)
        sent = read_export(make_export(other, 2026)[0].text().encode(), "f", 2026)
        assert outcomes(merge(store, [("f", sent)], NOON)) == ["added"]
        tally = store.tally("hob", NOON)
        assert tally.causes == {"grit": 2.0, "frost": 1.0}
        assert tally.answers == {("frost", "flame", "weak"): 1.0, ("grit", "flame", "weak"): 2.0}
        assert (tally.endings["referred"].ended, tally.endings["referred"].confirmed) == (1.0, 0.0)
        # Back where it came from it adds nothing, nor does what this store says of itself.
        assert outcomes(merge(other, [("f", sent)], NOON)) == ["own"]
        assert standing(other) == ()
        assert other.tally("hob", NOON).causes == {"grit": 1.0, "frost": 1.0}


def test_a_later_number_takes_the_place_of_an_earlier_one(store: CaseStore) -> None:
    first, second = export(NORTH, 3, 7), replace(export(NORTH, 4, 2), unconfirmed=())
    assert outcomes(merge(store, [("a", first)], NOON)) == ["added"]
    assert merge(store, [("b", second)], LATER) == (Merged("b", second, "replaces", 3),)
    assert sums_of(store) == rows_of(second)
    assert standing(store) == (Standing(NORTH, 4, second.digest, LATER, 2, 0),)
    assert outcomes(merge(store, [("a", first)], LATER)) == ["older"]
    assert outcomes(merge(store, [("b", second)], LATER + timedelta(days=1))) == ["stands"]
    assert standing(store)[0].received == LATER


def test_of_several_numbers_at_once_the_highest_goes_in(store: CaseStore) -> None:
    files = [
        ("c", export(NORTH, 3)),
        ("a", export(NORTH, 1)),
        ("c again", export(NORTH, 3)),
        ("s", export(SOUTH, 1)),
    ]
    assert outcomes(merge(store, files, NOON)) == ["added", "older", "stands", "added"]


def test_the_same_number_with_other_sums_is_refused_and_nothing_comes_in(store: CaseStore) -> None:
    merge(store, [("first.json", export(NORTH, 3))], NOON)
    before = sums_of(store)
    files = [
        ("new.json", export(SOUTH, 1)),
        ("second.json", export(NORTH, 3, 4)),
        ("third.json", export(SOUTH, 1, 9)),
    ]
    with pytest.raises(SameNumberOtherSums) as refused:
        merge(store, files, NOON)
    assert str(refused.value).splitlines() == [
        f"second.json: export 3 of store {NORTH} is not the same as the one that stands merged; two copies "
        "of that store have both gone on (docs/store.md tells the way out)",
        f"third.json: export 1 of store {SOUTH} is not the same as new.json; two copies of that "
        "store have both gone on (docs/store.md tells the way out)",
    ]
    assert sums_of(store) == before


def test_a_trial_says_the_same_and_writes_nothing(store: CaseStore) -> None:
    files = [("a", export(NORTH, 1)), ("b", export(NORTH, 2))]
    dry = merge(store, files, NOON, dry=True)
    assert sums_of(store) == set()
    assert merge(store, files, NOON) == dry


def test_an_error_half_way_leaves_everything_as_it_was(store: CaseStore) -> None:
    merge(store, [("a", export(NORTH, 1))], NOON)
    before = sums_of(store)
    broken = replace(export(SOUTH, 1), unconfirmed=(("hob", 2026, "cured", None),))
    with pytest.raises(IntegrityError):
        merge(store, [("a", export(NORTH, 2)), ("b", broken)], NOON)
    assert sums_of(store) == before


# A store that was put back, or went on twice ----------------------------------------------------------------


def test_after_a_copy_was_put_back_its_own_last_export_sets_the_numbers_right(
    tmp_path: Path, sqlite_url: str
) -> None:
    path = Path(sqlite_url.partition(":///")[2])
    with open_store(sqlite_url) as store:
        make_export(store, 2026)
    path.with_suffix(".copy").write_bytes(path.read_bytes())
    with open_store(sqlite_url) as store:
        store.confirm(store.open_case("hob", "d", "owner", "", NOON), "grit", NOON)
        lost = make_export(store, 2026)[0]
    path.write_bytes(path.with_suffix(".copy").read_bytes())
    with open_store(sqlite_url) as store, open_store(str(tmp_path / "theirs.sqlite")) as theirs:
        merge(theirs, [("lost.json", lost)], NOON)
        # Without a word of it the next export has a number that is out already.
        again = make_export(store, 2026)[0]
        assert again.number == lost.number == 2
        with pytest.raises(SameNumberOtherSums):
            merge(theirs, [("again.json", again)], NOON)
        with store.writing() as connection:
            connection.exec_driver_sql("UPDATE store_identity SET exports = 1")
        assert outcomes(merge(store, [("lost.json", lost)], NOON)) == ["own-later"]
        assert outcomes(merge(store, [("lost.json", lost)], NOON)) == ["own"]
        assert store.tally("hob", NOON).causes == {}
        right = make_export(store, 2026)[0]
        assert right.number == 3
        assert outcomes(merge(theirs, [("right.json", right)], NOON)) == ["replaces"]


def test_a_number_far_from_all_that_this_store_gave_out_is_no_export_of_it(store: CaseStore) -> None:
    with pytest.raises(NumberOutOfPlace) as refused:
        merge(store, [("far.json", export(store.origin, MOST_LOST + 1))], NOON)
    assert str(refused.value) == (
        f"far.json: bears the origin of this store and the number {MOST_LOST + 1}; this store has given out "
        "0, so it does not come from here"
    )
    assert outcomes(merge(store, [("near.json", export(store.origin, MOST_LOST))], NOON)) == ["own-later"]
    assert make_export(store, 2026)[0].number == MOST_LOST + 1


def test_two_stores_with_one_origin_that_both_went_on_are_told_apart_by_their_digest() -> None:
    one, other = export(NORTH, 2, 4), export(NORTH, 2, 5)
    for files in ([("one", one), ("other", other)], [("other", other), ("one", one)]):
        with pytest.raises(SameNumberOtherSums):
            planned(files, {}, WEST, 0)


# Taking out -------------------------------------------------------------------------------------------------


def test_what_was_merged_can_be_taken_out_and_merged_again(store: CaseStore) -> None:
    store.confirm(store.open_case("hob", "d", "owner", "", NOON), "grit", NOON)
    own = sums_of(store)
    merge(store, [("a", export(NORTH, 5)), ("b", export(SOUTH, 1))], NOON)
    assert named(store, [SOUTH, NORTH]) == tuple(reversed(standing(store)))
    take_out(store, NORTH)
    assert sums_of(store) == own | rows_of(export(SOUTH, 1))
    # An earlier one than stood may come in again: nothing is remembered of what was taken out.
    assert outcomes(merge(store, [("a", export(NORTH, 4))], NOON)) == ["added"]


def test_what_is_not_merged_cannot_be_taken_out(store: CaseStore) -> None:
    merge(store, [("a", export(NORTH, 5))], NOON)
    for do in (lambda origin: take_out(store, origin), lambda origin: named(store, [origin])):
        with pytest.raises(NotMerged) as refused:
            do("0" * 15 + "f")
        assert str(refused.value) == f'nothing is merged from "{"0" * 15}f" (did you mean "{NORTH}"?)'
        with pytest.raises(NotMerged, match=r"`diagnose cases merge` lists what stands merged$"):
            do("north")


# What it does to a ranking ----------------------------------------------------------------------------------


def test_a_sum_without_a_place_in_the_tree_leaves_the_ranking_as_it_was(store: CaseStore) -> None:
    tree = Library().tree("hook-up-trips")
    cause = "+".join(tree.cut_sets[0])
    check = next(iter(tree.checks.values()))
    good = Export(
        NORTH,
        1,
        causes=((tree.id, cause, 2026, "cured", 5),),
        answers=((tree.id, cause, check.id, check.answer_ids()[0], 2026, "cured", 3),),
    )
    nowhere = [("check-of-nobody", "yes"), (check.id, "answer-of-nobody"), (tree.cut_sets[-1][0], "yes")]
    strange = replace(
        good,
        causes=(*good.causes, (tree.id, "cause-of-nobody", 2026, "cured", 2)),
        answers=(
            *good.answers,
            *((tree.id, cause, *each, 2026, "cured", 2) for each in nowhere),
            (tree.id, "cause-of-nobody", check.id, check.answer_ids()[0], 2026, "cured", 2),
        ),
    )
    for each in (good, strange):
        assert read_export(each.text().encode(), "f", 2026) == each
    ranked = []
    for number, each in enumerate((good, strange), 1):
        merge(store, [("f", replace(each, number=number))], NOON)
        tally = store.tally(tree.id, NOON)
        model = build_model(tree, "owner", Settings(), tally_of(tree, tally), frozenset())
        ranked.append(ranking(model, Situation()))
    assert ranked[0] == ranked[1]
    assert sum(line.share for line in ranked[0]) == pytest.approx(1)
    assert next(line for line in ranked[0] if line.cause == cause).cases == 5


def test_symptoms_that_nobody_knows_stay_for_the_day_when_a_tree_comes(store: CaseStore) -> None:
    merge(
        store,
        [("f", replace(export(NORTH, 1), causes=(("not-yet", "x", 2026, "cured", 3),), answers=()))],
        NOON,
    )
    assert store.tally("hob", NOON).causes == {}
    assert store.tally("not-yet", NOON).causes == {"x": 3.0}
