"""Flaws and advice of the dearest shipped trees, as processor time over the fixed loop.

The figures: the flaws of a tree within 300 ms of reading it, its advice within 3 s with routes that are
compiled already (those are measured in `test_bench_compiling.py`), 10,000 past cases or none.
"""

from __future__ import annotations

from time import process_time

import numpy as np
import pytest

from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.loading import read_tree
from diagnose.revising.advising import advice_on
from diagnose.terms import Tally
from tests.trees.shipped import LIBRARY, ROLES, model_of, route_of, tree_of

LOOPS_OF_300_MS, LOOPS_OF_3_S = 3.0, 30.0


@pytest.mark.parametrize("id", ["engine-no-crank", "leisure-battery-weak"])
def test_bench_flaws(id, judge_work):
    """The two longest files, read as they are and with a mistake in every tenth line."""
    common = Library().common()
    text = (shipped_folder() / f"{id}.yaml").read_text(encoding="utf-8")
    lines = text.splitlines()
    broken = "\n".join(line.replace(": ", "x: ") if n % 10 == 9 else line for n, line in enumerate(lines))
    for each in (text, broken):
        start = process_time()
        tree, flaws = read_tree(each, "x.yaml", common, id=id, known=LIBRARY.ids())
        took = process_time() - start
        assert (tree is None) == bool(flaws)
        judge_work(f"flaws of {id} ({len(flaws)})", took, LOOPS_OF_300_MS)


@pytest.mark.parametrize("id", ["water-pump", "engine-no-crank"])
def test_bench_advice(id, judge_work):
    """Over as many past cases as a workshop may have, all of one kind, so that much is told."""
    models = {role: model_of(id, role) for role in ROLES}
    routes = {role: route_of(id, role) for role in ROLES}
    first = models["owner"].ids[0]
    rng = np.random.default_rng(7)
    answers = {
        (cause, check.id, answer): float(rng.integers(0, 200))
        for cause in models["owner"].ids
        for check in tree_of(id).checks.values()
        for answer in check.answer_ids()
    }
    for tally in (None, Tally({first: 10_000.0}, answers)):
        start = process_time()
        found = advice_on(tree_of(id), models, routes, tally)
        took = process_time() - start
        assert bool(found) == (tally is not None)
        judge_work(f"advice on {id} ({len(found)})", took, LOOPS_OF_3_S)
