from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.battery import POINTS, battery_charge, charge_at
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured

kinds = st.sampled_from(sorted(POINTS))


@given(kinds, st.floats(10, 13), st.floats(0, 1))
def test_more_volts_are_never_less_charge(kind, volts, more):
    assert charge_at(volts + more, kind) >= charge_at(volts, kind)


@given(kinds, st.floats(0, 13.1), st.floats(0, 0.5))
def test_a_charge_lies_between_empty_and_full(kind, volts, doubt):
    charge = battery_charge(Measured(volts, doubt), kind, None).measured
    assert 0 <= charge.value <= 100
    assert charge.uncertainty >= 0


def test_beyond_the_ends_the_doubt_stays():
    assert battery_charge(Measured(12.9, 0.058), "flooded", None).measured.uncertainty > 5
    assert battery_charge(Measured(11.5, 0.058), "flooded", None).measured.uncertainty > 5


def test_a_warm_battery_shows_a_little_more_than_a_cold_one_of_the_same_charge():
    cold, warm = (
        battery_charge(Measured(12.35, 0.01), "flooded", Measured(degrees, 0.0)).measured.value
        for degrees in (-5.0, 45.0)
    )
    # 50 K are 60 mV, and 0.21 V are a quarter of the charge.
    assert cold - warm == pytest.approx(0.060 / 0.21 * 25, abs=0.2)
    plain = battery_charge(Measured(12.4, 0.01), "flooded", None).measured
    at_25 = battery_charge(Measured(12.4, 0.01), "flooded", Measured(25.0, 0.0)).measured
    assert plain == at_25


@pytest.mark.parametrize(
    ("volts", "begins"),
    [
        (12.9, "Full."),
        (12.55, "About 89 % charged: well charged."),
        (12.3, "About 61 % charged: it will work, yet charge it soon."),
        (12.18, "About 46 % charged: charge it before you judge anything else."),
        (11.7, "Empty or nearly so: charge it now"),
    ],
)
def test_what_it_means_is_said_in_one_sentence(volts, begins):
    assert battery_charge(Measured(volts, 0.05), "flooded", None).meaning.startswith(begins)


def test_very_low_volts_point_to_a_dead_cell():
    notes = " ".join(battery_charge(Measured(10.2, 0.05), "agm", None).notes)
    assert "a cell may be dead" in notes
    assert "a cell may be dead" not in " ".join(battery_charge(Measured(11.0, 0.05), "agm", None).notes)


def test_lithium_is_refused_with_the_reason():
    with pytest.raises(NotPossible, match="hardly changes between nearly empty and nearly full"):
        battery_charge(Measured(13.1, 0.05), "lithium", None)


def test_a_battery_under_charge_is_refused():
    with pytest.raises(NotPossible, match="a charger is working or has just worked"):
        battery_charge(Measured(13.6, 0.05), "flooded", None)


def test_the_caution_of_batteries_comes_along():
    (caution,) = battery_charge(Measured(12.4, 0.05), "gel", None).cautions
    assert caution.word == "WARNING"
    assert "explodes" in caution.say
