"""What a store of very many cases costs, in stores filled by `tests.cases.made_up_cases`.

At every step of a walk, and in a ranking, a hundred thousand cases cost what a thousand do; what goes through
all cases once grows with their number, and its memory does not. A million is measured by
`python -m tests.cases.scale 1000000`; docs/scale.md has the figures.
"""

from __future__ import annotations

import gc
import tracemalloc
from collections.abc import Iterator
from time import process_time

import pytest

from diagnose.cases.store import CaseStore, open_store
from tests.cases import scale

FEW, MANY = 1_000, 100_000
MOST_APART = 1.10
"""Sums are read as quickly among many cases as among few."""
STEP_MOST_APART = 1.5
"""So is what a step writes or shows: a tree of an index is a level or two higher, not more."""
LOOPS_OF_20_MS = 0.2
ROUNDS = 31


@pytest.fixture(scope="module")
def stores(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[CaseStore, CaseStore]]:
    """A store of few cases and one of many."""
    folder = tmp_path_factory.mktemp("scale")
    with open_store(str(folder / "few.sqlite")) as few, open_store(str(folder / "many.sqlite")) as many:
        scale.fill(few, FEW, scale.flat_patterns())
        scale.fill(many, MANY, scale.flat_patterns())
        yield few, many


def say(capsys: pytest.CaptureFixture[str], what: str, few: float, many: float) -> None:
    with capsys.disabled():
        print(f"\n{what}: {few * 1000:.2f} ms beside {FEW:,} cases, {many * 1000:.2f} ms beside {MANY:,}")


def test_bench_the_sums_of_a_ranking_cost_the_same_among_many_cases(stores, benchmark, capsys):
    few, many = stores
    for store in stores:
        assert store.tally("water-pump", scale.NOW).total > 100

    def measure() -> tuple[float, float]:
        return scale.in_turns(
            lambda: few.tally("water-pump", scale.NOW, 3.0), lambda: many.tally("water-pump", scale.NOW, 3.0)
        )

    small, large = benchmark.pedantic(measure, rounds=1, iterations=1)
    say(capsys, "sums of a ranking", small, large)
    assert large / small <= MOST_APART


def test_bench_a_case_is_confirmed_as_quickly_among_many(stores, benchmark, capsys, judge):
    some = [iter(scale.unconfirmed(store, ROUNDS + 1)) for store in stores]
    few, many = stores
    more = iter(scale.unconfirmed(many, 2 * ROUNDS + 1)[ROUNDS + 1 :])

    def measure() -> tuple[float, float]:
        return scale.in_turns(
            lambda: few.confirm(*next(some[0]), scale.NOW),
            lambda: many.confirm(*next(some[1]), scale.NOW),
            ROUNDS,
        )

    small, large = benchmark.pedantic(measure, rounds=1, iterations=1)
    say(capsys, "a case confirmed, without waiting for the disk", small, large)
    assert large / small <= STEP_MOST_APART
    # And with it: what somebody at a desk waits for.
    waited = scale.measured("", lambda _: many.confirm(*next(more), scale.NOW), ROUNDS).seconds
    judge(f"a case confirmed beside {MANY:,}", waited, LOOPS_OF_20_MS)


def test_bench_looking_at_some_costs_the_same_among_many(stores, benchmark, capsys):
    from diagnose.cases.browsing import counted, listed
    from diagnose.cases.selecting import Wanted

    few, many = stores
    deeds = {
        "the newest fifty": lambda store: list(listed(store, Wanted(limit=50))),
        "cases numbered by state": lambda store: counted(store, Wanted()),
        "a vehicle's last case": lambda store: next(store.newest_first("van 7"), None),
    }

    def measure() -> dict[str, tuple[float, float]]:
        return {
            name: scale.in_turns(lambda deed=deed: deed(few), lambda deed=deed: deed(many))
            for name, deed in deeds.items()
        }

    for name, (small, large) in benchmark.pedantic(measure, rounds=1, iterations=1).items():
        say(capsys, name, small, large)
        assert large / small <= STEP_MOST_APART, name


def test_bench_trends_of_many_cases(stores, benchmark, capsys, judge_work):
    # Once through the cases for each question, some fifteen microseconds a case in all; never quadratic.
    few, many = stores
    scale.trends(few)  # loads what is loaded once

    def measure() -> tuple[float, float]:
        return _seconds(few), _seconds(many)

    small, large = benchmark.pedantic(measure, rounds=1, iterations=1)
    say(capsys, "trends", small, large)
    judge_work(f"trends of {MANY:,} cases", large, 35.0)
    assert many.tally("water-pump", scale.NOW).total > 10_000


def _seconds(store: CaseStore) -> float:
    start = process_time()
    scale.trends(store)
    return process_time() - start


def test_bench_trends_hold_no_more_in_memory_with_many_cases(stores):
    def most(store: CaseStore) -> int:
        gc.collect()
        tracemalloc.start()
        try:
            scale.trends(store)
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    few, many = stores
    most(few)
    small, large = most(few), most(many)
    # Months and causes are all there with a thousand cases; a hundred times as many add nothing to hold.
    assert large <= 1.25 * small, (small, large)
