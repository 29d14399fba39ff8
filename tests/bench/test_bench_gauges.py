"""A gauge as a process, from start to end: at most 600 ms with the units that stand on meters and labels.

A rare unit loads a general library of units, which alone takes longer than that; it has a bound of its own.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from time import perf_counter

import pytest

from diagnose.gauges.register import gauge, names

CHECKOUT = Path(__file__).resolve().parent.parent.parent
MOST_LOOPS = 4.0
"""600 ms are six loops; four let a heavy import show that six would hide."""

LOOPS_WITH_A_RARE_UNIT = 20.0


def seconds(*words):
    """How long `diagnose gauge` takes with these words, in seconds."""
    start = perf_counter()
    subprocess.run(
        [sys.executable, "-m", "diagnose", "gauge", *words],
        cwd=CHECKOUT,
        check=True,
        capture_output=True,
        stdin=subprocess.DEVNULL,
    )
    return perf_counter() - start


@pytest.mark.parametrize("name", names()[::4])
def test_bench_gauge_as_a_process(name, benchmark, judge_in_turns):
    words = (name, *gauge(name).examples[0])

    def judged():
        judge_in_turns(f"diagnose gauge {name}", lambda: seconds(*words), MOST_LOOPS)

    benchmark.pedantic(judged, rounds=1, iterations=1)


def test_bench_list_of_gauges(benchmark, judge_in_turns):
    benchmark.pedantic(lambda: judge_in_turns("diagnose gauge", seconds, MOST_LOOPS), rounds=1, iterations=1)


def test_bench_gauge_with_a_rare_unit(benchmark, judge_in_turns):
    def judged():
        judge_in_turns(
            "diagnose gauge cable-drop with chains",
            lambda: seconds("cable-drop", "8 A", "0.3 chain", "2.5 mm²"),
            LOOPS_WITH_A_RARE_UNIT,
        )

    benchmark.pedantic(judged, rounds=1, iterations=1)
