"""The table of units against a general library of units (pint), which follows the SI Brochure and NIST."""

from __future__ import annotations

import pytest

from diagnose.gauges.units import KINDS, turned_into

pint = pytest.importorskip("pint")

NAMES = {
    "Ah": "ampere * hour",
    "mAh": "milliampere * hour",
    "µA": "microampere",
    "kWh": "kilowatt_hour",
    "Wh": "watt_hour",
    "Ω": "ohm",
    "mΩ": "milliohm",
    "kΩ": "kiloohm",
    "in": "inch",
    "ft": "foot",
    "mm²": "millimeter ** 2",
    "cm²": "centimeter ** 2",
    "°C": "degC",
    "°F": "degF",
    "K": "kelvin",
    "Pa": "pascal",
    "hPa": "hectopascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "t": "metric_ton",
    "lb": "pound",
    "st": "stone",
    "cwt": "UK_hundredweight",
    "l": "liter",
    "ml": "milliliter",
    "m³": "meter ** 3",
    "gal": "imperial_gallon",
    "pint": "imperial_pint",
    "ml/l": "milliliter / liter",
    "ml/10l": "milliliter / decaliter",
    "ml/100l": "milliliter / hectoliter",
    "l/min": "liter / minute",
    "l/h": "liter / hour",
    "h": "hour",
    "min": "minute",
    "s": "second",
    "days": "day",
    "weeks": "week",
    "months": "month",
    "years": "year",
    "%": "percent",
    "": "dimensionless",
}
"""Our unit -> its name in the library, where that is not the same."""


@pytest.fixture(scope="module")
def library():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("kind", "unit"), [(kind, unit) for kind, units in KINDS.items() for unit in units])
def test_every_unit_of_the_table_agrees_with_the_library(kind, unit, library):
    first = next(iter(KINDS[kind]))
    for value in (1.0, 37.5, -12.0):
        wanted = library.Quantity(value, NAMES.get(unit, unit)).to(NAMES.get(first, first)).magnitude
        assert turned_into(value, unit, first) == pytest.approx(float(wanted), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("unit", ["°C", "°F", "K"])
def test_a_difference_of_temperatures_has_no_offset(unit, library):
    delta = {"°C": "delta_degC", "°F": "delta_degF", "K": "kelvin"}[unit]
    wanted = library.Quantity(9.0, delta).to("kelvin").magnitude
    assert turned_into(9.0, unit, "°C", difference=True) == pytest.approx(float(wanted), rel=1e-12)
