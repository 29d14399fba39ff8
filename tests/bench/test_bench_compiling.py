"""Compiling every shipped tree from cold for both roles, proof included.

The figure: under 6 s on two cores for six trees, that is one second a tree.
"""

from __future__ import annotations

from time import perf_counter

import pytest

from diagnose.knowledge.library import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_for

SECOND_A_TREE = 10.0
"""In fixed loops."""


def compile_all():
    """Reads, compiles and proves every shipped tree for both roles; returns how many steps there are."""
    library = Library()
    steps = 0
    for id in library.ids():
        for role in ("owner", "technician"):
            model = build_model(library.tree(id), role, other_trees=frozenset(library.ids()))
            steps += len(route_for(model, None).nodes)
    return steps


def test_bench_compile_all_trees(benchmark, judge):
    start = perf_counter()
    steps = benchmark.pedantic(compile_all, rounds=1, iterations=1)
    took = perf_counter() - start
    trees = len(Library().ids())
    judge(f"{trees} trees compiled and proved for both roles ({steps} steps)", took, SECOND_A_TREE * trees)


@pytest.mark.parametrize("id", Library().ids())
def test_bench_a_route_out_of_the_cache(id, benchmark, judge, tmp_path):
    library = Library()
    model = build_model(library.tree(id), other_trees=frozenset(library.ids()))
    made = route_for(model, tmp_path)
    start = perf_counter()
    kept = benchmark.pedantic(lambda: route_for(model, tmp_path), rounds=1, iterations=1)
    took = perf_counter() - start
    assert kept == made
    judge(f"{id} out of the cache and proved again", took, 3.0)
