"""Compiling every shipped tree from cold for both roles, proof included.

The figure: under 6 s on two cores for six trees, that is one second a tree.
"""

from __future__ import annotations

from time import process_time

import pytest

from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_digest, route_for
from tests.bench.fixed_loop import say_and_judge

SECOND_A_TREE = 10.0
"""In fixed loops."""
READ_AND_PROVED = 5.0
"""Half a second, most of it the proof, whose work grows with the steps of the route."""
CORES = 2


def test_bench_compile_all_trees(compiled, capsys):
    trees = len(Library().ids())
    what = f"{trees} trees compiled and proved for both roles (here {compiled.wall:.1f} s)"
    # The work is shared by two cores.
    say_and_judge(capsys, what, compiled.work / CORES, compiled.loop, SECOND_A_TREE * trees)


@pytest.mark.parametrize("id", Library().ids()[::3])
def test_bench_a_route_out_of_the_cache(id, compiled, benchmark, judge_work):
    library = Library()
    model = build_model(library.tree(id), other_trees=frozenset(library.ids()))
    # Otherwise it would be compiled, which is another measure.
    assert (compiled.folder / f"{route_digest(model)}.json").exists()
    start = process_time()
    kept = benchmark.pedantic(lambda: route_for(model, compiled.folder), rounds=1, iterations=1)
    work = process_time() - start
    assert kept.ids == model.ids
    judge_work(f"{id} out of the cache and proved again", work, READ_AND_PROVED)
