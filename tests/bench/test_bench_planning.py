"""Compiling routes of large trees, each in a process of its own, on one thread.

The figures: 15 to 30 causes and 10 to 15 checks within 3 s of one core and 1 GiB.
"""

from __future__ import annotations

import pytest

from tests.reasoning.planner_measures import compiled_apart
from tests.reasoning.planner_problems import large

THREE_SECONDS = 30.0
"""In fixed loops."""
ONE_GIBIBYTE = 1024
PROBLEMS = large(16)


@pytest.mark.parametrize("problem", PROBLEMS[::5], ids=str)
def test_bench_a_large_tree_is_compiled(problem, capsys, judge_work):
    found = compiled_apart(problem)
    assert found.route.nodes
    with capsys.disabled():
        print(f"\n{problem}: {len(found.route.nodes)} steps, {found.mebibytes:.0f} MiB at most")
    assert found.mebibytes <= ONE_GIBIBYTE
    judge_work(f"{problem} compiled", found.seconds, THREE_SECONDS)


def test_the_large_trees_are_as_large_as_is_asked():
    sizes = [(len(each.tree.causes()), each.checks) for each in PROBLEMS]
    assert {causes for causes, _ in sizes} == set(range(15, 31))
    assert {checks for _, checks in sizes} == set(range(10, 16))
