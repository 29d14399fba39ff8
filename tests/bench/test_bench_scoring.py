"""Scoring a store's past takes work in proportion to its cases, as exactly with many as with few.

Judged as the processor time of four times the cases over that of the cases, in turns: at most 4 with a
quarter more, while every case against every other would be 16. A hundred thousand cases of all shipped
trees, which `python -m tests.reviewing.made_up_past` makes, took forty processor seconds where the fixed loop
took 75 ms; that is too long for here.
"""

from __future__ import annotations

from statistics import median
from time import process_time

import numpy as np

from diagnose.cases.store import open_store
from diagnose.reviewing.scoring import Wanted, review
from tests.reasoning.fleets import file_model
from tests.reviewing.made_up_past import Walker, fill, made_up
from tests.reviewing.test_foresight import straight

FEW, TIMES = 750, 4
MOST = 1.25 * TIMES
ROUNDS = 3
EVERYBODY = {"cured": 1.0, "referred": 1.0, "stopped": 1.0}


def test_bench_scoring_four_times_the_cases(tmp_path, benchmark, judge_work):
    model = file_model()
    stores = []
    for number in (FEW, TIMES * FEW):
        rng = np.random.default_rng(5)
        walker = Walker(model, rng, route=straight(model))
        stores.append(open_store(str(tmp_path / f"{number}.sqlite")))
        fill(stores[-1], made_up([walker], rng, number, told=EVERYBODY))

    def score(store):
        start = process_time()
        assert review(store, Wanted(lambda _: model.tree, cache=tmp_path)).overall is not None
        return process_time() - start

    def in_turns():
        return [(score(stores[0]), score(stores[1])) for _ in range(ROUNDS)]

    score(stores[0])  # the route is compiled once, whatever the number of cases
    pairs = benchmark.pedantic(in_turns, rounds=1, iterations=1, warmup_rounds=0)
    few, many = median(a for a, _ in pairs), median(b for _, b in pairs)
    for store in stores:
        store.close()
    judge_work(f"scoring {TIMES * FEW:,} cases", many, 20.0)
    assert many / few <= MOST, (few, many)
