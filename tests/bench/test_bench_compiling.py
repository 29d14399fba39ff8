"""Compiling every shipped tree from cold for both roles, proof included.

The figure: under 6 s on two cores for six trees, that is one second a tree.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path
from time import perf_counter, process_time

import pytest

from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_for

SECOND_A_TREE = 10.0
"""In fixed loops."""
READ_AND_PROVED = 5.0
"""Half a second, most of it the proof, whose work grows with the steps of the route."""
CORES = 2
CHECKOUT = Path(__file__).resolve().parent.parent.parent


def spent_by_children():
    """Processor seconds of finished child processes."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def check_all(cache):
    """`diagnose trees check` over all shipped trees and an empty cache: compiles and proves both roles."""
    environment = os.environ | {"DIAGNOSE_CACHE": str(cache)}
    subprocess.run(
        [sys.executable, "-m", "diagnose", "trees", "check"],
        cwd=CHECKOUT,
        env=environment,
        check=True,
        capture_output=True,
    )


def test_bench_compile_all_trees(benchmark, judge_work, tmp_path):
    before, start = spent_by_children(), perf_counter()
    benchmark.pedantic(lambda: check_all(tmp_path), rounds=1, iterations=1)
    wall, work = perf_counter() - start, spent_by_children() - before
    trees = len(Library().ids())
    what = f"{trees} trees compiled and proved for both roles (here {wall:.1f} s), work shared by two cores"
    judge_work(what, work / CORES, SECOND_A_TREE * trees)


@pytest.mark.parametrize("id", Library().ids()[::3])
def test_bench_a_route_out_of_the_cache(id, benchmark, judge_work, tmp_path):
    library = Library()
    model = build_model(library.tree(id), other_trees=frozenset(library.ids()))
    made = route_for(model, tmp_path)
    start = process_time()
    kept = benchmark.pedantic(lambda: route_for(model, tmp_path), rounds=1, iterations=1)
    work = process_time() - start
    assert kept == made
    judge_work(f"{id} out of the cache and proved again", work, READ_AND_PROVED)
