"""Planning rounds of 60 open tasks, as processor time over the fixed loop.

The figure: a round of 60 tasks planned under a second, whatever its order, places and waits.
"""

from __future__ import annotations

from random import Random
from time import process_time

import pytest

from diagnose.rounds.ordering import planned
from diagnose.rounds.shortest import short
from tests.rounds.made import made_up

LOOPS_OF_1_S = 10.0


@pytest.mark.parametrize("links", [0, 0.03, 0.1, 0.3])
@pytest.mark.parametrize("waits", [0, 0.1, 0.4])
def test_bench_order_of_60_tasks(links, waits, judge_work):
    """Twelve places; how often one task must come before another, and how many have a wait."""
    tasks, after, places = made_up(60, 7, 12, links, waits)
    start = process_time()
    plan = planned(tasks, after, places)
    took = process_time() - start
    gap = plan.minutes / plan.bound - 1
    judge_work(f"60 tasks, links {links}, waits {waits}, {gap:.1%} over the bound", took, LOOPS_OF_1_S)


@pytest.mark.parametrize("minutes", [60, 240])
def test_bench_best_part_of_60_tasks(minutes, judge_work):
    """What is worth most of sixty tasks in so many minutes: no figure was set, but somebody waits for it."""
    tasks, after, places = made_up(60, 7, 12, 0.05, 0.1, safety=0.05)
    dice = Random(7)
    saved = {id: 20 * dice.random() for id in tasks}
    start = process_time()
    found = short(tasks, after, places, minutes, saved)
    took = process_time() - start
    judge_work(f"{len(found.plan.order)} of 60 tasks in {minutes} minutes", took, 3 * LOOPS_OF_1_S)
