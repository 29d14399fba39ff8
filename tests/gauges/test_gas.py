"""Will it gas, and for how long."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import gas, vapour
from diagnose.gauges.gauge import MissingReading, NotPossible
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import gauge


def told(name, **texts):
    """The outcome for texts as somebody types them."""
    return gauge(name).outcome({word.replace("_", "-"): text for word, text in texts.items()})[1]


WEATHER = st.floats(-40, 50)


@given(WEATHER, st.floats(0.01, 5))
def test_warmer_gas_always_presses_more(celsius, warmer):
    assert vapour.propane_pressure(celsius + warmer) > vapour.propane_pressure(celsius)
    assert vapour.butane_pressure(celsius + warmer) > vapour.butane_pressure(celsius)


@given(WEATHER, st.floats(0, 1))
def test_a_full_mix_lies_between_its_gases(celsius, share):
    butane, propane = vapour.butane_pressure(celsius), vapour.propane_pressure(celsius)
    assert butane * (1 - 1e-12) <= vapour.full_mix_pressure(celsius, share) <= propane * (1 + 1e-12)


@given(WEATHER, st.floats(0.05, 1))
def test_a_mix_is_a_range_from_its_last_part_up_to_a_full_fill(celsius, share):
    empty, full = gas.head(celsius, "mix", share)
    assert empty == vapour.butane_head(celsius)
    assert empty < full <= gas.head(celsius, "tank", None)[1]


@pytest.mark.parametrize(
    ("celsius", "kind", "how"),
    [
        (12, "butane", "gas well enough"),
        (4, "butane", "gas weakly"),
        (-2, "butane", "will not gas"),
        (-15, "propane", "gas well enough"),
        (-45, "propane", "will not gas"),
    ],
)
def test_cold_stops_butane_long_before_propane(celsius, kind, how):
    assert how in told("gas-pressure", temperature=f"{celsius} ± 0.1 °C", gas=kind).meaning


def test_near_the_edge_it_says_that_a_degree_would_turn_it():
    assert (
        "a degree or two would turn that" in told("gas-pressure", temperature="0 ± 1", gas="butane").meaning
    )
    assert "a degree" not in told("gas-pressure", temperature="15 ± 1", gas="butane").meaning


def test_a_mix_says_both_ends_and_only_perhaps_where_its_share_is_unknown():
    known = told("gas-pressure", temperature="-5 C", gas="mix", propane_share="40 %")
    assert known.meaning == "A mix at -5 °C: while full it gases well enough, towards its end not at all."
    unknown = told("gas-pressure", temperature="-5 C", gas="tank")
    assert "while full it gases perhaps well enough" in unknown.meaning
    assert unknown.also[0].measured.value > known.also[0].measured.value > known.measured.value


def test_only_a_mix_has_a_share_of_propane():
    with pytest.raises(NotPossible, match="propane-share: only a mix has one, butane does not"):
        told("gas-pressure", temperature="5 C", gas="butane", propane_share="40 %")


@pytest.mark.parametrize(
    ("name", "texts", "reason"),
    [
        ("gas-pressure", {"temperature": "-300 C", "gas": "propane"}, "no vehicle stands in such cold"),
        ("gas-pressure", {"temperature": "90 C", "gas": "propane"}, "no cylinder may get as hot as that"),
        (
            "gas-pressure",
            {"temperature": "0 C", "gas": "mix", "propane-share": "120 %"},
            "not over the whole",
        ),
        ("gas-hours", {"weight": "-1 kg", "power": "2 kW"}, "nothing weighs less than nothing"),
        ("gas-hours", {"weight": "3 kg", "power": "0 kW"}, "a burner that is lit uses something"),
        ("gas-hours", {"weight": "3 kg", "power": "1800"}, "is it in W?"),
        ("gas-hours", {"weight": "5 kg", "power": "2 kW", "empty": "6.5 kg"}, "less than the 6.5 kg"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(name, texts, reason):
    with pytest.raises(NotPossible, match=reason.replace("?", r"\?")):
        gauge(name).outcome(texts)


def test_a_unit_of_another_kind_is_refused_and_the_right_form_shown():
    with pytest.raises(BadQuantity, match=r"power: .*bar.* pressure.*such as 2 kW"):
        told("gas-hours", weight="3 kg", power="2 bar")
    with pytest.raises(BadQuantity, match=r"gas: .* none of propane, butane, mix, tank"):
        told("gas-pressure", temperature="4 C", gas="methane")
    with pytest.raises(MissingReading):
        told("gas-pressure", temperature="4 C")


@given(st.floats(0.5, 50), st.floats(0.2, 10), st.floats(1.1, 4))
def test_twice_the_gas_lasts_twice_as_long_and_more_power_less(kilograms, kilowatts, more):
    once = gas.hours_of_gas(kilograms, kilowatts, gas.PROPANE_HEAT)
    assert gas.hours_of_gas(2 * kilograms, kilowatts, gas.PROPANE_HEAT) == pytest.approx(2 * once)
    assert gas.hours_of_gas(kilograms, more * kilowatts, gas.PROPANE_HEAT) < once


@given(st.floats(0, 30), st.floats(0.3, 10), st.floats(0.01, 1), st.floats(0, 1))
def test_nobody_is_told_to_count_on_more_than_there_is(kilograms, kilowatts, doubt, power_doubt):
    found = gas.gas_hours(Measured(kilograms, doubt), Measured(kilowatts, power_doubt), None, "propane")
    assert found.measured.uncertainty > 0
    if "count on nothing" not in found.meaning:
        counted = float(found.meaning.rsplit(" ", 1)[1].rstrip("."))
        assert counted <= found.measured.value


def test_the_empty_weight_is_taken_off_and_an_empty_cylinder_is_called_so():
    found = told("gas-hours", weight="9.5 kg", power="1 kW", empty="6.5 kg")
    assert found.also[0].measured.value == pytest.approx(3.0)
    assert found.measured.value == pytest.approx(3 * gas.PROPANE_HEAT)
    assert "as good as empty" in told("gas-hours", weight="6.6 kg", power="1 kW", empty="6.5 kg").meaning


def test_seventy_eight_grams_an_hour_are_a_kilowatt_as_the_help_says():
    assert "78 g/h are 1 kW" in gauge("gas-hours").how[1]
    for heat in (gas.PROPANE_HEAT, gas.BUTANE_HEAT):
        grams = 1000 / heat
        assert grams == pytest.approx(78, abs=1)
