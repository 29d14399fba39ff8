"""Open tasks as bits: sets and sums, and the waits that hold something up."""

from random import Random

import pytest

from diagnose.rounds.jobs import UNIT, all_before, bits, jobs_of
from tests.rounds.made import made_up, place, task

YARD = {"outside": place("outside", 2), "cab": place("cab", 1)}
TASKS = {
    "air": task("air", "cab", 5, wait=30),
    "belts": task("belts", "cab", 4, safety=True),
    "lamps": task("lamps", "outside", 3, wait=7, wants=("dry",)),
    "horn": task("horn", "cab", 1),
    "belts-again": task("belts-again", "cab", 2),
}
AFTER = {"belts": frozenset({"air"}), "horn": frozenset({"missing"}), "missing": frozenset({"belts"})}


def test_the_minutes_of_any_set_are_the_sum_of_theirs():
    tasks, after, known = made_up(20, 1)
    jobs = jobs_of(tasks, after, known, set())
    for _ in range(30):
        mask = Random(_).getrandbits(20)
        assert jobs.hands_on(mask) == sum(jobs.minutes[n] for n in bits(mask))
    assert jobs.hands_on(jobs.all) == pytest.approx(UNIT * sum(task.minutes for task in tasks.values()))
    assert all(len(table) == 256 for table in jobs.sums)


def test_order_goes_through_what_is_missing_and_only_a_wait_that_holds_something_up_has_a_slot():
    jobs = jobs_of(TASKS, AFTER, YARD, set(), early={"dry"})
    assert jobs.before == (0, 0b1, 0, 0b11, 0)
    assert jobs.behind == (0b1010, 0b1000, 0, 0, 0)
    assert jobs.slots == (0, -1, -1, -1, -1)  # nothing comes after the lamps' own wait
    assert (jobs.heirs, jobs.needs, jobs.running) == ((0b1010,), ((), (0,), (), (0,), ()), (0,))
    assert (jobs.safety, jobs.outdoors, jobs.here) == (0b10, 0b100, 1)
    assert jobs_of(TASKS, AFTER, YARD, set(), "kitchen").here == -1


def test_a_wait_that_runs_holds_up_what_comes_after_it_if_its_task_is_done_and_time_is_left():
    running = {"air": 12.5, "lamps": 0.4, "belts": 9}
    jobs = jobs_of(TASKS, AFTER, YARD, {"air", "lamps"}, running=running)
    assert jobs.ids == ("belts", "horn", "belts-again")
    assert (jobs.heirs, jobs.running) == ((0b11, 0), (12.5 * UNIT, 0.4 * UNIT))
    assert jobs.needs == ((0,), (0,), ())
    over = jobs_of(TASKS, AFTER, YARD, {"air"}, running={"air": 0.0})
    assert (over.heirs, over.running) == ((), ())
    both = jobs_of(TASKS, {**AFTER, "horn": frozenset({"lamps"})}, YARD, {"air"}, running={"air": 12})
    assert (both.heirs, both.running) == ((0b100, 0b1), (0, 12 * UNIT))


def test_all_that_comes_before_by_whatever_way():
    assert all_before(AFTER)["horn"] == {"missing", "belts", "air"}
