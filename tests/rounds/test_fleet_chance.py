"""How many are out by a day: held to what can be worked out exactly for small fleets.

Each comparison is over seeded runs, so it is the same each time; the bounds are five standard errors of a
mean of that many runs, over which a right program would be once in a million seeds.
"""

from dataclasses import replace
from itertools import product
from math import log, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rounds.fleet import FleetVehicle, fleet_of
from diagnose.rounds.fleet_chance import Assumptions, TaskAhead, TooLate, Work, forecast, out_by, work_of
from diagnose.rounds.fleet_needs import Errand, OpenWalk
from diagnose.rounds.fleet_walks import WalkAhead
from tests.rounds.fleets import TODAY, day
from tests.rounds.made import task

SURE = Assumptions(spread=0, walk_spread=0, visit_spread=0, minutes_a_day=100)
"""Nothing is drawn but what is found."""
HALF_HOUR = WalkAhead(30, 30)


def fleet(*works):
    vehicles = [FleetVehicle(name=work.name, file="", verdict="ready") for work in works]
    return fleet_of("wake-up", "", TODAY, vehicles)


def exactly(works, days, minutes):
    """The chance of each number of vehicles to be out, one person working through them: every way listed."""
    tasks = [(at, task) for at, work in enumerate(works) for task in work.tasks]
    chances = np.zeros(len(works) + 1)
    for found in product((False, True), repeat=len(tasks)):
        chance, spent = 1.0, [work.ways for work in works]
        for wrong, (at, each) in zip(found, tasks, strict=True):
            chance *= each.wrong if wrong else 1 - each.wrong
            spent[at] += each.minutes + (each.walk.own_minutes if wrong else 0)
        ends = np.cumsum(spent)
        chances[int((ends <= days * minutes).sum())] += chance
    return chances


@pytest.mark.parametrize("days", [1, 2])
def test_the_interval_is_that_of_every_way_listed(days):
    works = [
        Work(f"van {n}", tuple(TaskAhead(15, wrong, HALF_HOUR) for wrong in (0.1, 0.4)), ways=2)
        for n in range(4)
    ]
    exact = exactly(works, days, SURE.minutes_a_day)
    told = forecast(fleet(*works), works, day(days), SURE)
    numbers = np.arange(len(exact))
    mean = float(exact @ numbers)
    error = sqrt(float(exact @ (numbers - mean) ** 2) / SURE.runs)
    assert told.mean == pytest.approx(mean, abs=5 * error)
    assert told.low == int(np.searchsorted(exact.cumsum(), 0.05))
    assert told.high == int(np.searchsorted(exact.cumsum(), 0.95))
    assert told.all_out == pytest.approx(exact[-1], abs=5 * sqrt(0.25 / SURE.runs))
    assert told.days == days


def test_one_drawn_task_is_over_in_time_as_often_as_its_lognormal_says():
    spread, runs = 0.3, 20_000
    work = Work("van", (TaskAhead(100, 0),))
    variance = log(1 + spread**2)
    exact = NormalDist(log(100) - variance / 2, sqrt(variance)).cdf(log(110))
    out = out_by([work], 1, Assumptions(spread=spread, minutes_a_day=110, runs=runs))
    assert out.mean() == pytest.approx(exact, abs=5 * sqrt(0.25 / runs))


def test_two_people_take_the_next_vehicle_when_they_are_free():
    works = [Work(f"van {n}", (TaskAhead(minutes, 0),)) for n, minutes in enumerate((40, 60, 60, 40))]
    alone, two = (out_by(works, 1, replace(SURE, people=people))[0].tolist() for people in (1, 2))
    assert alone == [True, True, False, False]
    assert two == [True, True, True, True]


def test_a_visit_comes_after_its_days_or_on_the_settled_day():
    works = [Work("van", visits=frozenset({"gas-engineer"}))]
    assert [bool(out_by(works, days, SURE).all()) for days in (9, 10)] == [False, True]
    settled = {"gas-engineer": 3}
    assert [bool(out_by(works, days, SURE, settled).all()) for days in (2, 3)] == [False, True]


def test_what_is_found_before_a_visit_is_seen_to_at_it_and_later_by_another():
    referred = TaskAhead(150, 1.0, WalkAhead(30, 30, {"gas-escape": 1.0}))  # over on the second day
    works = [Work("van", (referred,))]
    assert not out_by(works, 11, SURE).any()
    assert out_by(works, 12, SURE).all()
    assert out_by(works, 4, SURE, {"gas-engineer": 4}).all()
    assert not out_by(works, 11, SURE, {"gas-engineer": 2}).any()


def test_visits_that_are_settled_come_on_the_morning_of_their_day_and_are_told():
    """Two days of work before the day after tomorrow: a visit today or tomorrow is over by then."""
    works = [Work("van", visits=frozenset({"gas-engineer"}))]
    for ahead, out in ((0, 1), (1, 1), (2, 0), (9, 0)):
        booked = {"gas-engineer": day(ahead)}
        told = forecast(fleet(*works), works, day(2), SURE, booked)
        assert (told.chances, told.all_out, told.booked) == ({"van": out}, out, booked)
    told = forecast(fleet(*works), works, day(2), SURE)
    assert (told.chances, told.booked, told.by, told.assumptions) == ({"van": 0}, {}, day(2), SURE)


def test_who_is_called_today_and_who_is_called_later_take_days_of_their_own():
    """Who is drawn late for today's call is not so for another, and two people are drawn apart."""
    drawn = replace(SURE, visit_spread=0.5, visit_days=5, runs=2000)
    one, same, other = (
        Work("van", visits=frozenset({"gas-engineer"})),
        Work("bus", visits=frozenset({"gas-engineer"})),
        Work("box", visits=frozenset({"workshop"})),
    )
    out = out_by([one, same, other], 5, drawn)
    assert (out[:, 0] == out[:, 1]).all()
    assert (out[:, 0] != out[:, 2]).mean() == pytest.approx(
        2 * out[:, 0].mean() * (1 - out[:, 0].mean()), abs=0.06
    )
    # called on the first day for what was found then: not as long as for today's call, run by run
    found = Work("car", (TaskAhead(1, 1.0, refer="electrician"),))
    called = Work("car", visits=frozenset({"electrician"}))
    later, first = out_by([found], 6, drawn)[:, 0], out_by([called], 5, drawn)[:, 0]
    assert (later != first).mean() > 0.05
    assert later.mean() == pytest.approx(first.mean(), abs=0.08)


def test_a_wrong_that_opens_no_walk_calls_whom_it_is_referred_to():
    refers, nothing = (Work("van", (TaskAhead(10, 1.0, refer=refer),)) for refer in ("gas-escape", None))
    assert out_by([nothing], 1, SURE).all()
    assert [bool(out_by([refers], days, SURE).all()) for days in (10, 11)] == [False, True]
    assert out_by([replace(refers, tasks=(TaskAhead(10, 0.0, refer="gas-escape"),))], 1, SURE).all()


def test_whom_a_task_is_referred_to_is_who_comes_for_it():
    refers = Work("van", (TaskAhead(10, 1.0, refer="gas-escape"),))  # for gas that escapes the engineer comes
    booked = {"gas-engineer": 5}
    assert [bool(out_by([refers], days, SURE, booked).all()) for days in (4, 5)] == [False, True]


def test_the_work_of_a_vehicle_is_what_its_round_and_its_open_walks_leave():
    ahead = WalkAhead(40, 25, {"workshop": 0.3})

    class AtHand:
        """Knows one tree."""

        def from_start(self, tree):
            return ahead if tree == "lights-dim" else None

    tasks = {
        "a": replace(task("a", "cab", 10), opens=("lights-dim", "other")),
        "b": replace(task("b", "cab", 5), opens=("other", "lights-dim")),
        "c": replace(task("c", "cab", 7), refer="workshop"),
        "done": task("done", "cab", 90),
    }
    vehicle = FleetVehicle(
        name="van", file="van.yaml", verdict="limited", left=("c", "a", "b"), round_minutes=30, stopped=True,
        walks=(OpenWalk("x", "X", None, 1, ahead), OpenWalk("y", "Y", "a", None, None)),
        errands=(Errand("gas-escape", "a", "A", "wrong", 30), Errand("workshop", "b", "B", "wrong", 30)),
    )  # fmt: skip
    work = work_of(vehicle, tasks, AtHand(), lambda task: {"a": 0.1}.get(task.id, 0.2))
    assert work.tasks == (
        TaskAhead(7, 0.2, None, "workshop"), TaskAhead(10, 0.1, ahead, None), TaskAhead(5, 0.2, None, None)
    )  # fmt: skip
    assert (work.name, work.ways, work.stopped) == ("van", 8, True)
    assert (work.walks, work.visits) == ((ahead,), {"gas-engineer", "workshop"})
    less = work_of(replace(vehicle, round_minutes=20, walks=(), errands=()), tasks, AtHand(), lambda task: 0)
    assert (less.ways, less.walks, less.visits) == (0, (), frozenset())


def test_a_walk_that_is_open_takes_its_own_minutes_and_passes_on_like_one_that_is_found():
    """By hand: 60 of ways and 30 of the walk are a day of 90; 91 are not. Passed on, ten days more."""
    work = Work("van", ways=60, walks=(HALF_HOUR,))
    assert out_by([work], 1, replace(SURE, minutes_a_day=90)).all()
    assert not out_by([work], 1, replace(SURE, minutes_a_day=89)).any()
    always = replace(work, walks=(WalkAhead(30, 30, {"workshop": 1.0}),))
    assert [bool(out_by([always], days, SURE).any()) for days in (10, 11)] == [False, True]
    drawn = replace(SURE, walk_spread=0.6, minutes_a_day=30, runs=20_000)
    variance = log(1 + 0.6**2)
    exact = NormalDist(log(30) - variance / 2, sqrt(variance)).cdf(log(30))
    for only in (Work("a", walks=(HALF_HOUR,)), Work("b", (TaskAhead(0, 1.0, HALF_HOUR),))):
        assert out_by([only], 1, drawn).mean() == pytest.approx(exact, abs=5 * sqrt(0.25 / drawn.runs))


def test_what_a_walk_comes_to_belongs_to_one_of_several_by_their_shares():
    """Of a hundred walks 20 go to one, 10 to another, 20 to a third, the rest to nobody."""
    walk = WalkAhead(30, 30, {"auto-electrician": 0.2, "recovery": 0.1, "workshop": 0.2})
    for work in (Work("van", walks=(walk,)), Work("van", (TaskAhead(1, 1.0, walk),))):
        runs = replace(SURE, runs=20_000)
        error = 5 * sqrt(0.25 / runs.runs)
        every = {"auto-electrician": 3, "recovery": 3, "workshop": 3}
        for days, comes, share in (
            (1, {}, 0.5),
            (2, every | {"workshop": 2}, 0.7),
            (2, every | {"recovery": 2}, 0.6),
            (2, every | {"auto-electrician": 2}, 0.7),
            (3, every, 1),
        ):
            assert out_by([work], days, runs, comes).mean() == pytest.approx(share, abs=error)


def test_whoever_is_needed_for_either_of_two_tasks_is_called():
    tasks = (TaskAhead(1, 1.0, refer="workshop"), TaskAhead(1, 0.0, refer="workshop"))
    for both in (tasks, tasks[::-1]):
        assert not out_by([Work("van", both)], 1, SURE).any()


def test_a_vehicle_without_work_waits_for_nobody_and_a_minute_of_work_takes_its_day():
    full, idle, short = Work("a", (TaskAhead(100, 0),)), Work("b"), Work("c", ways=0.5)
    assert out_by([full, idle, short], 1, SURE)[0].tolist() == [True, True, False]


def test_a_vehicle_that_danger_stopped_is_never_out():
    works = [Work("a", stopped=True), Work("b")]
    assert out_by(works, 100, SURE).mean(axis=0).tolist() == [0, 1]


def test_what_one_vehicle_draws_does_not_hang_on_the_others():
    drawn = Assumptions(minutes_a_day=100)
    one, other = (Work(name, (TaskAhead(100, 0.3, HALF_HOUR),)) for name in ("a", "b"))
    alone, first = out_by([one], 1, drawn), out_by([one, other], 1, drawn)
    assert (alone[:, 0] == first[:, 0]).all()


def test_the_same_seed_gives_the_same_and_another_one_nearly():
    works = [Work(f"van {n}", (TaskAhead(60, 0.5, HALF_HOUR),)) for n in range(6)]
    told = [
        forecast(fleet(*works), works, day(4), Assumptions(seed=seed, minutes_a_day=100))
        for seed in (1, 1, 2)
    ]
    assert told[0] == told[1]
    assert told[0].mean != told[2].mean
    assert told[0].mean == pytest.approx(told[2].mean, abs=0.2)


@given(
    st.lists(
        st.tuples(st.floats(1, 200), st.floats(0, 1), st.sampled_from([None, "workshop", "gas-engineer"])),
        min_size=1,
        max_size=5,
    ),
    st.integers(1, 15),
    st.integers(1, 3),
    st.integers(0, 99),
)
@settings(max_examples=40, deadline=None)
def test_more_days_or_more_people_never_leave_fewer_out(tasks, days, people, seed):
    works = [
        Work(f"van {n}", (TaskAhead(minutes, wrong, None, refer),), visits=frozenset({refer} - {None}))
        for n, (minutes, wrong, refer) in enumerate(tasks)
    ]
    drawn = Assumptions(runs=40, seed=seed, people=people, minutes_a_day=100)
    out = out_by(works, days, drawn)
    assert (out <= out_by(works, days + 1, drawn)).all()
    assert (out <= out_by(works, days, replace(drawn, people=people + 1))).all()


def test_today_leaves_no_day_to_work_in():
    with pytest.raises(TooLate, match="leaves no day"):
        forecast(fleet(), [], TODAY, SURE)
