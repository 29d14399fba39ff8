"""How long until something is on the screen, each against bare imports in a process of the same kind.

The figures: `--version` at most 1.5 times an import of click; the first question at most 2 times an import of
click, yaml and prompt_toolkit; from a chosen symptom to its first check at most 600 ms with a warm cache.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from shutil import rmtree
from statistics import median
from tempfile import mkdtemp
from time import perf_counter, sleep

import pexpect
import pytest

from diagnose.knowledge.collection import Library
from tests.bench.fixed_loop import loop, say_and_judge

CHECKOUT = Path(__file__).resolve().parent.parent.parent
ROUNDS, TURNS = 5, 3
DIAGNOSE = [sys.executable, "-m", "diagnose"]
READING = 1.5
"""Seconds for which somebody reads "What is wrong?" before an answer is typed."""
LOOPS_OF_600_MS = 6.0
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


def until_each_shown(words, steps, text, **more):
    """Seconds until each thing shows at a terminal: from the start, or from what was typed before it.

    A step is (what has to show, seconds of reading, what is typed then); the text shows after the last.
    """
    environment = os.environ | {"TERM": "xterm", "PYTHONPATH": str(CHECKOUT)} | more
    # A store of its own each time: an older walk that was left off would be offered first.
    environment["XDG_DATA_HOME"] = mkdtemp()
    start, took = perf_counter(), []
    child = pexpect.spawn(
        words[0], words[1:], cwd=str(CHECKOUT), env=environment, dimensions=(60, 100), timeout=30
    )
    try:
        for shows, reading, typed in steps:
            child.expect_exact(shows)
            took.append(perf_counter() - start)
            child.expect_exact("Or type:")
            sleep(reading)
            child.send(typed + "\r")
            start = perf_counter()
        child.expect_exact(text)
        return [*took, perf_counter() - start]
    finally:
        child.close(force=True)
        rmtree(environment["XDG_DATA_HOME"])


def test_bench_version(benchmark, capsys):
    def both():
        return taken_in_turns(
            lambda: seconds([*DIAGNOSE, "--version"]),
            lambda: seconds([sys.executable, "-c", "import click"]),
        )

    ours, theirs = benchmark.pedantic(both, rounds=1, iterations=1)
    compare("diagnose --version against import click", ours, theirs, 1.5, capsys)


def test_bench_first_question(benchmark, capsys):
    def both():
        return taken_in_turns(
            lambda: until_each_shown(DIAGNOSE, [], "What is wrong")[0],
            lambda: seconds([sys.executable, "-c", IMPORTS]),
        )

    ours, theirs = benchmark.pedantic(both, rounds=1, iterations=1)
    compare(f"first question against {IMPORTS}", ours, theirs, 2.0, capsys)


@pytest.mark.parametrize("symptom", ["engine-no-crank", "heater-no-fire"])
def test_bench_from_a_symptom_to_its_first_check(symptom, compiled, benchmark, capsys):
    tree = Library().tree(symptom)
    first = [tree.checks[id] for id in tree.ask_first]
    cache = {"DIAGNOSE_CACHE": str(compiled.folder)}
    # The danger questions are answered as soon as they show: nothing is loaded at leisure.
    answers = [(each.ask[:30], 0.0, each.answers[0].id.replace("-", " ")) for each in first]
    chosen = [("What is wrong", READING, symptom)]

    def one_round():
        _, chosen_to_first, *_, last_to_check = until_each_shown(
            DIAGNOSE, [*chosen, *answers], "Or type:", **cache
        )
        (from_nothing,) = until_each_shown([*DIAGNOSE, "walk", symptom], [], first[0].ask[:30], **cache)
        return chosen_to_first, last_to_check, from_nothing, loop()

    rounds = benchmark.pedantic(lambda: [one_round() for _ in range(TURNS)], rounds=1, iterations=1)
    chosen_to_first, last_to_check, from_nothing, unit = map(median, zip(*rounds, strict=True))
    for what, took, most in (
        (f"from {symptom}, chosen at the prompt, to its first question", chosen_to_first, LOOPS_OF_600_MS),
        (f"from the last danger question of {symptom} to its first check", last_to_check, LOOPS_OF_600_MS),
        (f"diagnose walk {symptom}, from nothing to its first question", from_nothing, 2 * LOOPS_OF_600_MS),
    ):
        say_and_judge(capsys, what, took, unit, most)
