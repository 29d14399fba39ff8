"""How benchmarks are judged: against a fixed loop of plain Python that is measured in the same run.

A machine that is slow today is slow at the loop too, so a figure is a multiple of the loop, never a time. The
loop takes about 100 ms on the machine for which the figures were set; absolute times are printed beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from time import perf_counter, process_time

import pytest

LOOP_ROUNDS = 1_300_000


def loop(clock: Callable[[], float] = perf_counter) -> float:
    """Seconds that the fixed loop takes."""
    start = clock()
    total = 0
    for number in range(LOOP_ROUNDS):
        total += number * number % 7
    assert total > 0
    return clock() - start


@pytest.fixture
def judge(capsys) -> Callable[[str, float, float], None]:
    """`judge(what, seconds, most)`: print a time, and fail where it is over `most` times the fixed loop."""

    def compare(what: str, seconds: float, most: float) -> None:
        say_and_judge(capsys, what, seconds, median(loop() for _ in range(5)), most)

    return compare


@pytest.fixture
def judge_work(capsys) -> Callable[[str, float, float], None]:
    """`judge_work(what, seconds, most)`: as `judge`, for processor time, which others' work hardly moves.

    For what computes and waits for nothing, that is the time on a quiet machine.
    """

    def compare(what: str, seconds: float, most: float) -> None:
        say_and_judge(capsys, what, seconds, median(loop(process_time) for _ in range(5)), most)

    return compare


@pytest.fixture
def judge_in_turns(capsys) -> Callable[[str, Callable[[], float], float], None]:
    """`judge_in_turns(what, measure, most)`: the same, taking turns, so that a busy moment hits both."""

    def compare(what: str, measure: Callable[[], float], most: float, rounds: int = 3) -> None:
        pairs = [(measure(), loop()) for _ in range(rounds)]
        say_and_judge(capsys, what, median(a for a, _ in pairs), median(b for _, b in pairs), most)

    return compare


def say_and_judge(
    capsys: pytest.CaptureFixture[str], what: str, seconds: float, unit: float, most: float
) -> None:
    """Print a time beside the loop's, and fail where it is over the bound."""
    times = seconds / unit
    with capsys.disabled():
        print(f"\n{what}: {seconds * 1000:.1f} ms, {times:.2f} loops of {unit * 1000:.0f} ms, most {most:g}")
    assert times <= most, f"{what} took {times:.2f} times the fixed loop, {most:g} is the most"
