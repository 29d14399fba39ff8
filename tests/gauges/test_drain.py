from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.asks import loss_a_month
from diagnose.gauges.drain import days_left, days_until_flat, days_until_half, run_hours, run_time
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured, exactly

C, F, I20 = Measured(80.0, 8.0), Measured(95.0, 5.0), exactly(20.0)


@given(st.floats(1, 500), st.floats(1, 500))
def test_a_larger_drain_empties_sooner(drain, more):
    days = [days_left(C, F, exactly(each), exactly(3.0), 50.0).value for each in (drain, drain + more)]
    assert days[1] < days[0]


@given(st.floats(0, 100), st.floats(0, 300))
def test_flat_comes_after_half(charge, drain):
    arguments = (C, Measured(charge, 5.0), Measured(drain, 1.0), exactly(10.0), None)
    assert days_until_flat(*arguments).measured.value >= days_until_half(*arguments).measured.value >= 0


def test_without_a_drain_only_self_discharge_counts():
    # 3 % a month from 95 to 50 % is fifteen months of thirty days.
    assert days_left(C, F, exactly(0.0), exactly(3.0), 50.0).value == pytest.approx(15 * 30)


def test_a_battery_that_nothing_draws_on_is_refused():
    with pytest.raises(NotPossible, match="stays for ever"):
        days_left(C, F, exactly(0.0), exactly(0.0), 0.0)


def test_a_battery_under_half_is_said_to_be_so_at_once():
    outcome = days_until_half(C, Measured(40.0, 5.0), Measured(30.0, 5.0), exactly(20.0), None)
    assert outcome.measured.value == 0
    assert outcome.meaning == "It is half charged already, or less: charge it now."


def test_self_discharge_doubles_each_ten_kelvin():
    assert loss_a_month(exactly(20.0)).value == 3.0
    assert loss_a_month(exactly(30.0)).value == pytest.approx(6.0)
    assert loss_a_month(exactly(0.0)).value == pytest.approx(0.75)


def test_what_is_known_of_self_discharge_goes_before_the_rule():
    warm = days_until_half(C, F, Measured(30.0, 5.0), exactly(40.0), Measured(5.0, 1.0)).measured
    cold = days_until_half(C, F, Measured(30.0, 5.0), exactly(0.0), Measured(5.0, 1.0)).measured
    assert warm == cold


@given(st.floats(1, 50), st.floats(1.05, 3))
def test_twice_the_load_runs_less_than_half_as_long(current, times):
    k = exactly(1.2)
    once, more = (run_hours(C, exactly(amps), k, I20).value for amps in (current, current * times))
    assert more < once / times


def test_the_rated_current_empties_in_the_rated_hours():
    # The law holds by definition there: 80 Ah over 20 h are 4 A.
    assert run_hours(exactly(80.0), exactly(4.0), exactly(1.25), I20).value == pytest.approx(20.0)


def test_a_load_below_the_rated_one_says_that_the_law_promises_too_much():
    small = run_time(C, Measured(1.0, 0.1), exactly(1.2), I20)
    large = run_time(C, Measured(8.0, 0.1), exactly(1.2), I20)
    assert any("too much" in note for note in small.notes)
    assert not any("too much" in note for note in large.notes)
