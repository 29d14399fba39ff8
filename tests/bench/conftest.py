"""How benchmarks are judged: against a fixed loop of plain Python that is measured in the same run.

A machine that is slow today is slow at the loop too, so a figure is a multiple of the loop, never a time. The
loop takes about 100 ms on the machine for which the figures were set; absolute times are printed beside it.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import pytest

from tests.bench.fixed_loop import loop, say_and_judge

LOOPS = 3
"""How often the loop is measured beside each figure; the median counts."""
CHECKOUT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True)
class Compiled:
    """The routes of all shipped trees for both roles, with what it took to compile and prove them."""

    folder: Path
    wall: float
    work: float
    """Processor seconds."""
    loop: float
    """Processor seconds of the fixed loop, measured before and after."""


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Compiled:
    """`diagnose trees check` over all shipped trees and an empty cache, once for all benchmarks."""
    folder = tmp_path_factory.mktemp("routes")
    loops = [loop(process_time) for _ in range(LOOPS)]
    before, start = _spent_by_children(), perf_counter()
    subprocess.run(
        [sys.executable, "-m", "diagnose", "trees", "check"],
        cwd=CHECKOUT,
        env=os.environ | {"DIAGNOSE_CACHE": str(folder)},
        check=True,
        capture_output=True,
    )
    wall, work = perf_counter() - start, _spent_by_children() - before
    loops += [loop(process_time) for _ in range(LOOPS)]
    return Compiled(folder, wall, work, median(loops))


def _spent_by_children() -> float:
    """Processor seconds of finished child processes."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@pytest.fixture
def judge(capsys) -> Callable[[str, float, float], None]:
    """`judge(what, seconds, most)`: print a time, and fail where it is over `most` times the fixed loop."""

    def compare(what: str, seconds: float, most: float) -> None:
        say_and_judge(capsys, what, seconds, median(loop() for _ in range(LOOPS)), most)

    return compare


@pytest.fixture
def judge_work(capsys) -> Callable[[str, float, float], None]:
    """`judge_work(what, seconds, most)`: as `judge`, for processor time, which others' work hardly moves.

    For what computes and waits for nothing, that is the time on a quiet machine.
    """

    def compare(what: str, seconds: float, most: float) -> None:
        say_and_judge(capsys, what, seconds, median(loop(process_time) for _ in range(LOOPS)), most)

    return compare


@pytest.fixture
def judge_in_turns(capsys) -> Callable[[str, Callable[[], float], float], None]:
    """`judge_in_turns(what, measure, most)`: the same, taking turns, so that a busy moment hits both."""

    def compare(what: str, measure: Callable[[], float], most: float, rounds: int = 3) -> None:
        pairs = [(measure(), loop()) for _ in range(rounds)]
        say_and_judge(capsys, what, median(a for a, _ in pairs), median(b for _, b in pairs), most)

    return compare
