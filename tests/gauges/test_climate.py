"""Dew point, and leak or condensation."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import climate
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import gauge


def told(name, **texts):
    return gauge(name).outcome(texts)[1]


AIR, PART = st.floats(-30, 50), st.floats(0.02, 1)


@given(AIR, PART)
def test_the_dew_point_is_never_above_the_air_and_saturates_it(celsius, humidity):
    dew = climate.dew_point(celsius, humidity)
    assert dew <= celsius + 1e-9
    assert climate.saturation_pressure(dew) == pytest.approx(humidity * climate.saturation_pressure(celsius))


@given(st.floats(-40, 60))
def test_pressure_and_temperature_undo_each_other(celsius):
    assert climate.saturated_at(climate.saturation_pressure(celsius)) == pytest.approx(celsius, abs=1e-9)


@given(AIR, PART, AIR)
def test_a_surface_is_wet_just_where_it_is_colder_than_the_dew_point(inside, humidity, surface):
    dew = climate.dew_point(inside, humidity)
    if abs(surface - dew) > 1e-6:
        assert (climate.surface_humidity(inside, humidity, surface) > 1) == (surface < dew)


@given(st.floats(10, 25), st.floats(0.3, 0.95), st.floats(0.1, 0.9))
def test_at_the_outside_temperature_it_names_the_wall_is_just_at_the_dew_point(inside, humidity, factor):
    outside = climate.wet_below(inside, humidity, factor)
    surface = outside + factor * (inside - outside)
    assert surface == pytest.approx(climate.dew_point(inside, humidity), abs=1e-6)


@pytest.mark.parametrize(
    ("surface", "says"),
    [
        ("5 ± 0.5 °C", "Condensation alone can explain"),
        ("11.6 ± 0.5 °C", "On the edge"),
        ("14 ± 0.3 °C", "Damp enough for mould"),
        ("17 ± 0.5 °C", "look for a leak"),
    ],
)
def test_the_colder_the_wall_the_less_a_leak_is_needed(surface, says):
    found = told("condensation", inside="18 ± 0.2 °C", humidity="65 ± 2 %", surface=surface)
    assert says in found.meaning


@given(st.floats(30, 130), st.floats(0.1, 10))
def test_a_leak_is_named_only_where_the_air_is_out_of_the_question(percent, doubt):
    if "look for a leak" in climate.meaning_of(Measured(percent, doubt)):
        assert percent < 80
        assert percent + doubt < 100


def test_without_the_air_outside_there_is_no_figure_for_the_wall():
    found = told("condensation", inside="18 C", humidity="65 %", surface="11 C")
    assert [each.what for each in found.also] == ["dew point of the room"]


def test_too_small_a_difference_leaves_the_figure_for_the_wall_out_and_says_so():
    found = told("condensation", inside="18 C", humidity="65 %", surface="16 C", outside="15 C")
    assert len(found.also) == 1
    assert any("fRsi is left out" in note for note in found.notes)


@pytest.mark.parametrize(("surface", "outside"), [("30 C", "4 C"), ("-5 C", "4 C"), ("10 C", "30 C")])
def test_a_wall_that_no_air_explains_is_refused(surface, outside):
    with pytest.raises(NotPossible, match="sun, a heater or wet cloth"):
        told("condensation", inside="18 C", humidity="65 %", surface=surface, outside=outside)


def test_a_wall_as_warm_as_the_room_within_the_doubt_is_taken():
    found = told("condensation", inside="18 C", humidity="65 %", surface="18.5 C", outside="4 C")
    assert found.also[1].measured.value > 1
    assert len(found.also) == 2  # no cold outside wets such a wall


@pytest.mark.parametrize(
    ("texts", "reason"),
    [
        ({"temperature": "18 C", "humidity": "0 %"}, "never without any water"),
        ({"temperature": "18 C", "humidity": "-5 %"}, "never without any water"),
        ({"temperature": "18 C", "humidity": "120 %"}, "no more than 100 %"),
        ({"temperature": "-300 C", "humidity": "50 %"}, "no temperature in or around a vehicle"),
    ],
)
def test_air_that_cannot_be_is_refused_with_the_reason(texts, reason):
    with pytest.raises(NotPossible, match=reason):
        gauge("dew-point").outcome(texts)


def test_a_humidity_that_can_be_read_in_two_ways_is_refused():
    with pytest.raises(BadQuantity, match="two ways"):
        told("dew-point", temperature="18 C", humidity="0.65")


def test_below_freezing_it_speaks_of_frost():
    assert "gathers frost" in told("dew-point", temperature="1 C", humidity="60 %").meaning
    assert "gathers drops" in told("dew-point", temperature="18 C", humidity="60 %").meaning
