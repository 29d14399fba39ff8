"""Replaying past cases over two trees takes work in proportion to the cases, all of them different.

Judged as the processor time of four times the cases over that of the cases, in turns: at most 4 with a
quarter more, while every case against every other would be 16. Cases that are alike are worked out once,
which is much faster: a hundred thousand of one shipped tree, 4,699 to 13,615 of them different, took 14 to 17
processor seconds where the fixed loop took 66 ms; twenty thousand, all taken for different, took 7.5.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from statistics import median
from time import process_time

import numpy as np

from diagnose.cases.store import open_store
from diagnose.revising import replaying_book, replaying_side
from diagnose.revising.replaying import Wanted, replay
from tests.reasoning.fleets import file_model
from tests.reviewing.made_up_past import Walker, fill, made_up
from tests.reviewing.test_foresight import straight

FEW, TIMES = 600, 4
MOST = 1.25 * TIMES
ROUNDS = 3
EVERYBODY = {"cured": 1.0, "referred": 1.0, "stopped": 1.0}
NOW = datetime(2026, 11, 1, tzinfo=UTC)


def test_bench_replaying_four_times_the_cases(tmp_path, benchmark, judge_work, monkeypatch):
    model = file_model()
    wanted = Wanted(model.tree, replace(model.tree, strength=60.0))
    monkeypatch.setattr(replaying_side, "route_for", lambda model, cache: straight(model))
    monkeypatch.setattr(replaying_book, "_key", lambda record, group: str(record.case).encode())
    stores = []
    for number in (FEW, TIMES * FEW):
        rng = np.random.default_rng(5)
        walker = Walker(model, rng, route=straight(model))
        stores.append(open_store(str(tmp_path / f"{number}.sqlite")))
        fill(stores[-1], made_up([walker], rng, number, told=EVERYBODY))

    def again(store):
        start = process_time()
        found = replay(store, wanted, NOW)
        assert found.different == found.cases
        return process_time() - start

    def in_turns():
        return [(again(stores[0]), again(stores[1])) for _ in range(ROUNDS)]

    again(stores[0])
    pairs = benchmark.pedantic(in_turns, rounds=1, iterations=1, warmup_rounds=0)
    few, many = median(a for a, _ in pairs), median(b for _, b in pairs)
    for store in stores:
        store.close()
    judge_work(f"replaying {TIMES * FEW:,} cases", many, 30.0)
    assert many / few <= MOST, (few, many)
