"""Dew points and walls against figures frozen from a reference library, and against ISO 13788."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.gauges import climate
from diagnose.gauges.register import gauge

# Frozen, since PsychroLib comes without a wheel; the file says which version made it.
FROZEN = Path(__file__).with_name("psychrolib-2.5.0.csv")


def frozen():
    lines = FROZEN.read_text(encoding="utf-8").splitlines()
    return [tuple(float(cell) for cell in row) for row in csv.reader(lines[2:])]


@pytest.mark.parametrize(("celsius", "humidity", "dew", "pascal"), frozen())
def test_dew_points_are_those_of_the_reference_library(celsius, humidity, dew, pascal):
    # PsychroLib follows the ASHRAE Handbook; the shorter equations of ISO 13788 keep within 0.07 K and 0.25
    # %.
    assert climate.dew_point(celsius, humidity) == pytest.approx(dew, abs=0.07)
    assert climate.saturation_pressure(celsius) == pytest.approx(pascal, rel=0.0025)


def test_the_frozen_figures_are_all_there():
    assert len(frozen()) == 77


# ISO 13788 Annex E prints saturation pressures in Pa (from memory; the same stand in building tables).
PRINTED = {-10: 260, -5: 401, 0: 611, 5: 872, 10: 1228, 15: 1704, 20: 2337, 25: 3166, 30: 4241}


@pytest.mark.parametrize("celsius", PRINTED)
def test_saturation_pressures_are_the_printed_ones(celsius):
    assert climate.saturation_pressure(celsius) == pytest.approx(PRINTED[celsius], abs=1.1)


def test_mould_is_reckoned_with_from_the_humidity_of_the_standard():
    # ISO 13788, 5.3: a monthly mean surface humidity of 0.80 is the limit against mould (second-hand).
    assert climate.MOULD_FROM == 0.80


def test_a_warm_wall_escapes_and_a_cold_one_is_wetted_as_the_dew_point_says():
    # Common building tables (from memory): air of 20 °C and 50 % wets what is under 9.3 °C.
    assert climate.dew_point(20, 0.50) == pytest.approx(9.3, abs=0.05)
    assert climate.surface_humidity(20, 0.50, 9.0) > 1 > climate.surface_humidity(20, 0.50, 9.6)
    # And needs 12.6 °C to stay under the mould limit: the fRsi of 0.70 that DIN 4108-2 asks for at -5 °C
    # outside (from memory).
    assert climate.surface_humidity(20, 0.50, 12.6) == pytest.approx(0.80, abs=0.005)
    assert climate.surface_factor(20, -5, 12.6) == pytest.approx(0.70, abs=0.005)


def test_the_worked_example_of_a_cold_wall():
    # Worked beforehand by ISO 13788: 18, 4 and 11 ± 0.5 °C, 65 ± 3 %: fRsi 0.500 ± 0.044, dew point 11.3 ±
    # 0.8 °C, humidity at the surface 1.02 ± 0.07: wet.
    found = gauge("condensation").outcome(
        {"inside": "18 ± 0.5 C", "humidity": "65 ± 3 %", "surface": "11 ± 0.5 C", "outside": "4 ± 0.5 C"}
    )[1]
    dew, factor = found.also[0].measured, found.also[1].measured
    assert (round(factor.value, 3), round(factor.uncertainty, 3)) == (0.500, 0.044)
    assert (round(dew.value, 1), round(dew.uncertainty, 1)) == (11.3, 0.8)
    assert (round(found.measured.value), round(found.measured.uncertainty)) == (102, 7)
    assert "Condensation" in found.meaning
