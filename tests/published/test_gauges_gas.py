"""Vapour pressures and heats of cylinder gas against a reference library and against heats of formation."""

from __future__ import annotations

import random
from statistics import stdev

import pytest

from diagnose.gauges import gas, vapour
from diagnose.gauges.register import gauge
from tests.published.coolprop import coolprop, properties

COLD_TO_HOT = [-40, -30, -20, -10, -5, 0, 4, 5, 10, 15, 20, 30, 40, 50]


def reference_pressure(celsius, fluid):
    """Saturation pressure in kPa by CoolProp (version 8 when written): Helmholtz equations of state."""
    return properties("P", "T", celsius + 273.15, "Q", 0, fluid) / 1000


@pytest.mark.parametrize("celsius", COLD_TO_HOT)
def test_pressures_are_those_of_the_reference_library(celsius):
    assert vapour.propane_pressure(celsius) == pytest.approx(reference_pressure(celsius, "Propane"), rel=2e-4)
    assert vapour.butane_pressure(celsius) == pytest.approx(reference_pressure(celsius, "n-Butane"), rel=5e-4)


# Frozen figures in kPa, so that the check does not lean on one library alone. Source: CoolProp and the
# library `chemicals`, computed beforehand; they differ in the third figure, so half a percent is allowed.
FROZEN = {
    -20: (245, 45.2),
    -10: (345, 69.6),
    0: (475, 103),
    10: (637, 149),
    20: (837, 208),
    40: (1370, 379),
}


@pytest.mark.parametrize("celsius", FROZEN)
def test_pressures_are_the_frozen_ones(celsius):
    propane, butane = FROZEN[celsius]
    assert vapour.propane_pressure(celsius) == pytest.approx(propane, rel=0.005)
    assert vapour.butane_pressure(celsius) == pytest.approx(butane, rel=0.005)


@pytest.mark.parametrize(("head", "boils"), [(vapour.propane_head, -42.1), (vapour.butane_head, -0.5)])
def test_the_head_is_nought_where_the_gas_boils(head, boils):
    # Source: normal boiling points by CoolProp, rounded to a tenth.
    assert head(boils - 0.1) < 0 < head(boils + 0.1)


def test_a_mix_stands_close_to_where_the_reference_library_puts_it():
    # CoolProp's own mixing rules (multi-fluid Helmholtz), 40 % propane by weight: Raoult's law is within 5 %.
    moles = vapour.propane_moles(0.4)
    library = coolprop()
    state = library.AbstractState("HEOS", "Propane&n-Butane")
    state.set_mole_fractions([moles, 1 - moles])
    for celsius in (-10, 0, 20):
        state.update(library.QT_INPUTS, 0, celsius + 273.15)
        assert vapour.full_mix_pressure(celsius, 0.4) == pytest.approx(state.p() / 1000, rel=0.05)


# Standard enthalpies of formation in kJ/mol. Source: CODATA 1989 for CO2 and water vapour, NIST Chemistry
# WebBook for the gases; all from memory.
CARBON_DIOXIDE, STEAM, PROPANE, BUTANE = -393.51, -241.83, -104.7, -125.6


@pytest.mark.parametrize(
    ("heat", "grams", "carbons", "formed", "printed"),
    [
        (gas.PROPANE_HEAT, vapour.PROPANE_GRAMS, 3, PROPANE, 12.9),
        (gas.BUTANE_HEAT, vapour.BUTANE_GRAMS, 4, BUTANE, 12.7),
    ],
)
def test_net_heats_follow_from_heats_of_formation(heat, grams, carbons, formed, printed):
    # CnH(2n+2) burns to n CO2 and n + 1 steam; the printed kWh/kg are those of tables for liquid gas.
    burnt = formed - carbons * CARBON_DIOXIDE - (carbons + 1) * STEAM
    assert heat == pytest.approx(burnt / grams / 3.6, rel=0.001)
    assert round(heat, 1) == printed


def test_molar_masses_are_those_of_the_reference_library():
    assert pytest.approx(properties("M", "Propane") * 1000, abs=0.005) == vapour.PROPANE_GRAMS
    assert pytest.approx(properties("M", "n-Butane") * 1000, abs=0.005) == vapour.BUTANE_GRAMS


@pytest.mark.parametrize(
    ("celsius", "printed"),
    [("4 ± 1 °C", (185, 44)), ("0 °C", (19, None))],
)
def test_the_worked_example_of_butane_in_the_cold(celsius, printed):
    # Worked beforehand with CoolProp: the head in mbar, and its standard uncertainty.
    found = gauge("gas-pressure").outcome({"temperature": celsius, "gas": "butane"})[1].measured
    assert round(found.value) == printed[0]
    if printed[1] is not None:
        assert round(found.uncertainty) == printed[1]


def test_the_worked_example_of_gas_hours():
    # Worked beforehand: 3 ± 0.2 kg propane at 2 ± 0.2 kW last 19.3 ± 2.4 h.
    outcome = gauge("gas-hours").outcome({"weight": "3 ± 0.2 kg", "power": "2 ± 0.2 kW"})[1]
    assert outcome.in_words() == "19.3 ± 2.4 h"


def test_the_doubt_of_gas_hours_holds_against_drawn_values():
    # JCGM 101:2008: the spread of 20,000 drawn values, seeded, of which the first order is an approximation.
    draw = random.Random(5)
    hours = [
        gas.hours_of_gas(
            draw.gauss(3, 0.2), draw.gauss(2, 0.2), gas.PROPANE_HEAT * draw.gauss(1, gas.HEAT_DOUBT)
        )
        for _ in range(20_000)
    ]
    found = gauge("gas-hours").outcome({"weight": "3 ± 0.2 kg", "power": "2 ± 0.2 kW"})[1].measured
    assert found.uncertainty == pytest.approx(stdev(hours), rel=0.06)
