"""A round that was gone through elsewhere: one round here however often and by how many it is brought."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from diagnose.cases.rounds_arriving import ArrivedForAnother, take_in_round
from diagnose.cases.rounds_records import RoundLine, RoundRecord
from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import CaseStore, open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ARRIVING = RoundRecord(0, "journey", "digest", "left-off", NOON, NOON, "Van 7", "phone 3fa9")
MARK = RoundLine(NOON, "mark", "j2-gas", "fine", "phone 3fa9")


def unless_here(here: tuple[RoundLine, ...]) -> tuple[RoundLine, ...]:
    return () if here else (MARK,)


def test_the_same_round_twice_is_one_and_what_fails_leaves_nothing(store: CaseStore) -> None:
    def failing(here: tuple[RoundLine, ...]) -> tuple[RoundLine, ...]:
        raise RuntimeError

    with pytest.raises(RuntimeError):
        take_in_round(store, ARRIVING, failing)
    assert rounds_kept(store) == ()
    first, before = take_in_round(store, ARRIVING, unless_here)
    assert (before, first.lines, first.begun) == (False, (replace(MARK, number=1),), NOON)
    assert take_in_round(store, replace(ARRIVING, vehicle=" van 7"), unless_here) == (first, True)
    other = replace(ARRIVING, who="phone 3faa")
    assert take_in_round(store, other, unless_here)[0].number != first.number
    with pytest.raises(ArrivedForAnother, match=f'round {first.number} of "Van 7"'):
        take_in_round(store, replace(ARRIVING, vehicle="van 8"), unless_here)


@pytest.mark.long
def test_brought_by_several_at_once_it_is_one_round(url: str) -> None:
    with open_store(url):
        pass

    def bring(_: int) -> int:
        with open_store(url) as store:
            return take_in_round(store, ARRIVING, unless_here)[0].number

    with ThreadPoolExecutor(4) as many:
        numbers = set(many.map(bring, range(8)))
    with open_store(url) as store:
        (record,) = rounds_kept(store)
    assert (numbers, record.lines) == ({record.number}, (replace(MARK, number=1),))
