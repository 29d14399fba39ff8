"""Water head, and the dose for a tank."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import water
from diagnose.gauges.gauge import MissingReading, NotPossible
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import gauge


def told(name, **texts):
    return gauge(name).outcome(texts)[1]


@given(st.floats(0, 20), st.floats(0, 40))
def test_a_head_grows_with_the_height_alone(metres, celsius):
    assert water.head_pressure(2 * metres, celsius) == pytest.approx(2 * water.head_pressure(metres, celsius))
    # Less than one per cent hangs on the temperature.
    assert water.head_pressure(metres, celsius) == pytest.approx(water.head_pressure(metres, 4), rel=0.01)


@given(st.floats(1, 500), st.floats(0.01, 50))
def test_a_dose_is_the_labels_dose_for_each_litre(litres, dose):
    assert water.disinfectant(litres, dose) / litres == pytest.approx(dose)


@pytest.mark.parametrize("heater", ["neither", "nei"])
def test_no_dose_is_told_while_the_water_heater_would_get_it(heater):
    with pytest.raises(NotPossible, match="Set the heater's bypass, or take a product whose label says so"):
        told("tank-dose", volume="80 l", dose="0.5 ml/l", heater=heater)


def test_the_water_heater_is_never_taken_for_granted():
    with pytest.raises(MissingReading, match="heater"):
        told("tank-dose", volume="80 l", dose="0.5 ml/l")


@pytest.mark.parametrize("heater", ["bypassed", "heater-safe"])
def test_every_dose_comes_with_label_bleach_heater_and_germs(heater):
    found = told("tank-dose", volume="80 l", dose="0.5 ml/l", heater=heater)
    said = " ".join(caution.say for caution in found.cautions)
    for word in ("label", "never household bleach", "poison gas", "bypassed", "germs", "flushed twice"):
        assert word in said
    assert any("label has the last word" in note for note in found.notes)


@pytest.mark.parametrize("strength", ["50 mg/l", "50 ppm", "0.5 %", "2 g/l"])
def test_a_strength_is_no_dose(strength):
    with pytest.raises(BadQuantity, match=r"dose: .*such as 0\.5 ml/l"):
        told("tank-dose", volume="80 l", dose=strength, heater="bypassed")


def test_no_dose_is_there_unless_somebody_read_it_off_a_label():
    with pytest.raises(MissingReading, match="label"):
        told("tank-dose", volume="80 l", heater="bypassed")


@pytest.mark.parametrize(
    ("name", "texts", "reason"),
    [
        (
            "tank-dose",
            {"volume": "-80 l", "dose": "1", "heater": "bypassed"},
            "a tank holds more than nothing",
        ),
        ("tank-dose", {"volume": "0 l", "dose": "1", "heater": "bypassed"}, "a tank holds more than nothing"),
        ("tank-dose", {"volume": "5 m3", "dose": "1", "heater": "bypassed"}, "carries so much water"),
        ("tank-dose", {"volume": "80 l", "dose": "-1", "heater": "bypassed"}, "more than nothing"),
        ("tank-dose", {"volume": "80 l", "dose": "500", "heater": "bypassed"}, "a tenth of the tank"),
        ("water-head", {"height": "-1 m"}, "measure upwards"),
        ("water-head", {"height": "120"}, "is it in cm"),
        ("water-head", {"height": "1 m", "temperature": "-3 C"}, "that is ice"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(name, texts, reason):
    with pytest.raises(NotPossible, match=reason):
        gauge(name).outcome(texts)
