"""How long until something is on the screen, each against bare imports in a process of the same kind.

The figures: `--version` at most 1.5 times an import of click; the first question at most 2 times an import of
click, yaml and prompt_toolkit; from a chosen symptom to its first check at most 600 ms with a warm cache.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from time import perf_counter

import pexpect
import pytest

CHECKOUT = Path(__file__).resolve().parent.parent.parent
ROUNDS = 9
IMPORTS = "import click, yaml, prompt_toolkit"


def seconds(words):
    """How long a fresh process takes, in seconds."""
    start = perf_counter()
    subprocess.run(words, cwd=CHECKOUT, check=True, capture_output=True, stdin=subprocess.DEVNULL)
    return perf_counter() - start


def taken_in_turns(first, second, rounds=ROUNDS):
    """Medians of two measures taken in turns, so that a busy moment hits both."""
    pairs = [(first(), second()) for _ in range(rounds)]
    return median(a for a, _ in pairs), median(b for _, b in pairs)


def compare(what, ours, theirs, most, capsys):
    with capsys.disabled():
        print(f"\n{what}: {ours * 1000:.0f} ms, {ours / theirs:.2f} of {theirs * 1000:.0f} ms; most {most:g}")
    assert ours <= most * theirs


def until_shown(words, text, answers=()):
    """Seconds from the start of a program at a terminal until a text shows; answers are typed on the way."""
    environment = os.environ | {"TERM": "xterm", "PYTHONPATH": str(CHECKOUT)}
    start = perf_counter()
    child = pexpect.spawn(
        words[0], words[1:], cwd=str(CHECKOUT), env=environment, dimensions=(40, 100), timeout=30
    )
    try:
        for waited_for, answer in answers:
            child.expect(waited_for)
            child.send(answer + "\r")
            start = perf_counter()
        child.expect(text)
        return perf_counter() - start
    finally:
        child.close(force=True)


def test_bench_version(benchmark, capsys):
    def both():
        return taken_in_turns(
            lambda: seconds([sys.executable, "-m", "diagnose", "--version"]),
            lambda: seconds([sys.executable, "-c", "import click"]),
        )

    ours, theirs = benchmark.pedantic(both, rounds=1, iterations=1)
    compare("diagnose --version against import click", ours, theirs, 1.5, capsys)


def test_bench_first_question(benchmark, capsys):
    def both():
        return taken_in_turns(
            lambda: until_shown([sys.executable, "-m", "diagnose"], "What is wrong"),
            lambda: seconds([sys.executable, "-c", IMPORTS]),
        )

    ours, theirs = benchmark.pedantic(both, rounds=1, iterations=1)
    compare(f"first question against {IMPORTS}", ours, theirs, 2.0, capsys)


@pytest.mark.parametrize("symptom", ["engine-no-crank", "heater-no-fire"])
def test_bench_from_a_symptom_to_its_first_check(symptom, benchmark, judge):
    words = [sys.executable, "-m", "diagnose", "walk", symptom]
    until_shown(words, r"\d\)|1 ")  # warms the cache
    took = benchmark.pedantic(
        lambda: median(until_shown(words, r"\? ") for _ in range(7)), rounds=1, iterations=1
    )
    judge(f"from {symptom} to its first check", took, 6.0)
