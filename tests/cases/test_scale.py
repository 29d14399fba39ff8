"""Stores that are filled straight by SQL are whole: what the program itself says of them."""

from __future__ import annotations

from datetime import UTC

import pytest

from diagnose.cases.checking import differences, integrity, journals_of_wrong_length
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import CaseStore, open_store
from tests.cases import made_up_cases, scale
from tests.cases.made_up_cases import ENDINGS, FIRST, NOW, fill

NUMBER = 600


@pytest.fixture(scope="module")
def patterns():
    return made_up_cases.patterns(("water-pump", "habitation-dead"), 40)


@pytest.fixture
def filled(store: CaseStore, patterns) -> CaseStore:
    """A store of each kind in turn."""
    fill(store, NUMBER, patterns)
    return store


def test_the_sums_are_those_that_the_cases_come_to(filled):
    with filled.reading() as connection:
        assert differences(connection) == ()
        assert journals_of_wrong_length(connection) == ()
    assert integrity(filled) == ()


def test_cases_are_whole_and_new_ones_are_numbered_behind_them(filled):
    cases = filled.cases(oldest_first=True)
    assert len(cases) == NUMBER
    assert {each.opened.tzinfo for each in cases} == {UTC}
    assert all(FIRST <= each.opened <= NOW for each in cases)
    assert {each.state for each in cases} == set(ENDINGS)
    assert all(bool(each.cause) == each.confirmed for each in cases)
    assert all(each.entries[0].subject == "months-laid-up" for each in cases)
    assert 0.5 < sum(each.confirmed for each in cases) / NUMBER < 0.95
    assert filled.open_case("water-pump", "d", "owner", "", NOW) == NUMBER + 1


def test_both_kinds_of_store_hold_the_same_cases(sqlite_url, postgresql_url, patterns):
    with open_store(sqlite_url) as one, open_store(postgresql_url) as other:
        for store in (one, other):
            fill(store, 200, patterns)
        assert one.cases() == other.cases()
        assert one.tally("water-pump", NOW) == other.tally("water-pump", NOW)
        assert scale.size(one) > 0
        assert scale.size(other) > 0


def test_what_is_to_be_confirmed_is_confirmed_and_moves_the_sums(filled):
    before = filled.tally("water-pump", NOW).total + filled.tally("habitation-dead", NOW).total
    for case, cause in scale.unconfirmed(filled, 5):
        filled.confirm(case, cause, NOW)
    after = filled.tally("water-pump", NOW).total + filled.tally("habitation-dead", NOW).total
    assert after == before + 5
    assert len(filled.cases(Wanted(confirmed=True))) == after


@pytest.mark.long
def test_every_deed_is_measured(filled, monkeypatch):
    monkeypatch.setattr(scale, "loop", lambda: 0.1)
    costs = scale.costs_at_every_step(filled, "water-pump") + scale.costs_of_looking_back(filled)
    assert all(0 < each.seconds <= each.longest for each in costs)
    lines = scale.report(costs).splitlines()
    assert len(lines) == len(costs) + 2
    assert len({line.count("|") for line in lines}) == 1
