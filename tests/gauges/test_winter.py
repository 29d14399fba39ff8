from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.measured import Measured, exactly
from diagnose.gauges.winter import (
    COLDEST,
    FREEZES,
    GRAVITY,
    battery_freezing,
    charge_after,
    freezing_point,
    lay_up_charge,
    on_lines,
)


@given(st.floats(0, 100), st.floats(0, 100))
def test_a_fuller_battery_freezes_no_sooner(charge, other):
    low, high = sorted((charge, other))
    assert freezing_point(exactly(high)).value <= freezing_point(exactly(low)).value


@given(st.floats(0, 100), st.floats(0, 60), st.floats(0, 20))
def test_a_lay_up_only_ever_takes_charge(charge, months, a_month):
    left = charge_after(exactly(charge), exactly(months), exactly(a_month)).value
    assert 0 <= left <= charge


@pytest.mark.parametrize("points", [GRAVITY, FREEZES])
def test_lines_go_through_their_points_and_on_beyond_them(points):
    for x, y in points:
        assert on_lines(points, x) == pytest.approx(y)
    (low, at_low), (high, at_high) = points[-2:]
    assert on_lines(points, 2 * high - low) == pytest.approx(2 * at_high - at_low)


@pytest.mark.parametrize(
    ("charge", "coldest", "said"),
    [
        (100.0, None, "It freezes only at −52 °C or colder."),
        (46.0, None, "It freezes at about −23 °C."),
        (46.0, -5.0, "It freezes at about −23 °C, and such a night stays above that."),
        (
            10.0,
            -12.0,
            "It freezes at about −12 °C, so such a night can burst it: charge it, or take it indoors.",
        ),
        (
            46.0,
            -20.0,
            "It freezes at about −23 °C, so such a night can burst it: charge it, or take it indoors.",
        ),
    ],
)
def test_a_cold_night_is_judged_with_both_doubts_on_the_safe_side(charge, coldest, said):
    night = None if coldest is None else Measured(coldest, 3.0)
    outcome = battery_freezing(Measured(charge, 5.0), night)
    assert outcome.meaning == said
    assert outcome.measured.value >= COLDEST
    assert outcome.cautions[0].word == "DANGER"


def test_a_lay_up_that_ends_low_says_so_and_warns_of_frost():
    low = lay_up_charge(Measured(60.0, 5.0), Measured(6.0, 0.5), exactly(20.0), Measured(6.0, 1.0))
    assert low.measured.value == pytest.approx(24.0)
    assert low.meaning.startswith("After 6 months about 24 % is left: charge it in between")
    assert low.cautions
    well = lay_up_charge(Measured(95.0, 5.0), Measured(5.0, 0.5), exactly(8.0), None)
    assert well.meaning.endswith("it lasts.")
    assert not well.cautions
