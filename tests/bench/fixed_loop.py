"""The fixed loop of plain Python that every benchmark is judged by, and the judging itself."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

import pytest

ROUNDS = 1_300_000


def loop(clock: Callable[[], float] = perf_counter) -> float:
    """Seconds that the fixed loop takes."""
    start = clock()
    total = 0
    for number in range(ROUNDS):
        total += number * number % 7
    assert total > 0
    return clock() - start


def say_and_judge(
    capsys: pytest.CaptureFixture[str], what: str, seconds: float, unit: float, most: float
) -> None:
    """Print a time beside the loop's, and fail where it is over the bound."""
    times = seconds / unit
    with capsys.disabled():
        print(f"\n{what}: {seconds * 1000:.1f} ms, {times:.2f} loops of {unit * 1000:.0f} ms, most {most:g}")
    assert times <= most, f"{what} took {times:.2f} times the fixed loop, {most:g} is the most"
