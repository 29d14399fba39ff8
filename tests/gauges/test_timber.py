"""Timber: what the air gives it, and what a damp meter means."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import timber
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import gauge


def told(name, **texts):
    return gauge(name).outcome(texts)[1]


@given(st.floats(-1, 60), st.floats(0.01, 0.98), st.floats(0.001, 0.02))
def test_damper_air_makes_damper_timber(celsius, humidity, more):
    lower = timber.equilibrium_moisture(celsius, humidity)
    assert 0 < lower < timber.equilibrium_moisture(celsius, humidity + more) < 30


def test_dry_air_leaves_no_moisture():
    assert timber.equilibrium_moisture(20, 0) == 0


@pytest.mark.parametrize(
    ("meter", "says"),
    [
        ("26 ± 2 %", "More than the air can give"),
        ("18.6 ± 2 %", "The air alone explains it"),
        ("19.5 ± 2 %", "by a hair"),
        ("9 ± 2 %", "Drier than this air"),
    ],
)
def test_a_reading_is_judged_against_the_air_and_the_doubt(meter, says):
    found = told("damp-reading", meter=meter, temperature="10 ± 1 °C", humidity="80 ± 3 %")
    assert says in found.meaning


@given(st.floats(0, 60), st.floats(-40, 40), st.floats(0.1, 10))
def test_a_leak_is_looked_for_only_beyond_twice_the_doubt(meter, excess, doubt):
    said = timber.meaning_of(Measured(meter, 1), Measured(excess, doubt))
    assert ("look for the leak" in said) == (excess > 2 * doubt)
    if "Drier" not in said:
        assert ("rots" in said) == (meter >= 20)


def test_a_meter_out_of_its_depth_is_pointed_out():
    wet = told("damp-reading", meter="45 %", temperature="10 °C", humidity="80 %")
    assert any("soaked" in note for note in wet.notes)
    dry = told("damp-reading", meter="4 %", temperature="20 °C", humidity="30 %")
    assert any("nothing reliable" in note for note in dry.notes)


@pytest.mark.parametrize(
    ("texts", "reason"),
    [
        ({"meter": "-2 %", "temperature": "10 C", "humidity": "80 %"}, "no less than nothing"),
        ({"meter": "140 %", "temperature": "10 C", "humidity": "80 %"}, "no damp meter's scale"),
        ({"meter": "18 %", "temperature": "-4 C", "humidity": "80 %"}, "frozen wood misleads"),
        ({"meter": "18 %", "temperature": "10 C", "humidity": "105 %"}, "no more than 100 %"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(texts, reason):
    with pytest.raises(NotPossible, match=reason):
        gauge("damp-reading").outcome(texts)


def test_a_damp_meter_has_no_volts():
    with pytest.raises(BadQuantity, match=r"meter: .*voltage.*such as 18 %"):
        told("damp-reading", meter="12 V", temperature="10 C", humidity="80 %")
