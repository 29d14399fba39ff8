"""A case taken for another cause is held against both trees as if it were confirmed so; the store stays."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import read_tree
from diagnose.revising.consequences import Asked, consequences
from diagnose.revising.extending import NewCause, extended
from diagnose.revising.replaying import Wanted, replay
from diagnose.revising.taken_for import sums_with
from diagnose.terms import Tally
from tests.terminal.conftest import LAMP

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
COMMON = Library().common()
HOLDER = NewCause(
    says="The holder is green",
    id="holder-green",
    in_100=3,
    others="not-listed",
    remedy={"refer": "workshop"},
    expect={"switch-click": {"on": 0.98}, "volts-at-lamp": {"alive": 0.98}},
)


def tree_of(text):
    tree, flaws = read_tree(text, "lamp-dark.yaml", COMMON, id="lamp-dark")
    assert tree is not None, flaws
    return tree


OLD = tree_of(LAMP)
NEW = tree_of(extended(LAMP, OLD, HOLDER, COMMON))


@pytest.fixture
def store(tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as kept:
        for cause, click in (("not-listed", "on"), ("bulb-gone", "on"), ("switched-off", "off")):
            case = kept.open_case("lamp-dark", OLD.digest, "owner", "", NOON)
            kept.append(case, Entry(NOON, "finding", "switch-click", click))
            kept.append(case, Entry(NOON, "finding", "volts-at-lamp", "alive", 12.4))
            kept.end_case(case, "referred", NOON, referral="workshop")
            kept.confirm(case, cause, NOON)
        yield kept


def test_the_sums_are_those_of_a_store_in_which_the_case_is_confirmed_so(store):
    before = store.tally("lamp-dark", NOON)
    moved = sums_with(before, [(store.case(1), "holder-green")], lambda year: 1.0)
    assert store.tally("lamp-dark", NOON) == before
    store.confirm(1, "holder-green", NOON)
    real = store.tally("lamp-dark", NOON)
    assert (dict(moved.causes), dict(moved.answers)) == (dict(real.causes), dict(real.answers))
    for ending, sums in real.endings.items():
        told = moved.endings[ending]
        assert (told.ended, told.confirmed) == (sums.ended, sums.confirmed)
        assert (dict(told.causes), dict(told.answers)) == (dict(sums.causes), dict(sums.answers))


def test_a_replay_is_that_of_a_store_in_which_the_case_is_confirmed_so(store):
    taken = replay(store, Wanted(OLD, NEW, taken_for={1: "holder-green"}), NOON)
    asked = Asked(NOON, taken_for={1: "holder-green"})
    found = consequences(OLD, NEW, asked, store)
    plain = replay(store, Wanted(OLD, NEW), NOON)
    assert store.case(1).cause == "not-listed"
    store.confirm(1, "holder-green", NOON)
    real = replay(store, Wanted(OLD, NEW), NOON)
    assert taken == real == found.replay
    assert 1 in [each.case for each in plain.worse]
    assert 1 not in [each.case for each in taken.worse]
    after = consequences(OLD, NEW, Asked(NOON), store).after
    assert found.after == after


def test_a_case_that_counts_less_or_was_found_later_leaves_no_sum_below_nothing(store):
    store.append(1, Entry(NOON, "finding", "switch-click", "off"))
    record = store.case(1)
    moved = sums_with(Tally({"not-listed": 0.5}), [(record, "holder-green")], lambda year: 1.0)
    assert dict(moved.causes) == {"holder-green": 0.5}
    assert dict(moved.answers) == {}
