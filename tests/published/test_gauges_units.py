"""The table of units against a general library of units (pint), which follows the SI Brochure and NIST."""

from __future__ import annotations

import pytest

from diagnose.gauges.unit_table import KINDS
from diagnose.gauges.units import turned_into

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
    "‰": "permille",
    "µV": "microvolt",
    "BTU/h": "Btu_it / hour",
    "PS": "metric_horsepower",
    "hp": "horsepower",
    "BTU": "Btu_it",
    "kcal": "kilocalorie",
    "kcal/h": "kilocalorie / hour",
    "MWh": "megawatt_hour",
    "MΩ": "megaohm",
    "µΩ": "microohm",
    "µm": "micrometer",
    "yd": "yard",
    "mi": "mile",
    "m²": "meter ** 2",
    "in²": "inch ** 2",
    "kgf/cm²": "kilogram_force / centimeter ** 2",
    "atm": "standard_atmosphere",
    "mmHg": "millimeter_Hg",
    "cmHg": "centimeter_Hg",
    "inHg": "inch_Hg",
    "Torr": "torr",
    "mmH2O": "kilogram_force / meter ** 2",  # a litre of water on a square metre stands a millimetre high
    "cmH2O": "centimeter_H2O",
    "inH2O": "inch / centimeter * centimeter_H2O",
    "mH2O": "meter / centimeter * centimeter_H2O",
    "oz": "ounce",
    "cl": "centiliter",
    "dl": "deciliter",
    "hl": "hectoliter",
    "cm³": "centimeter ** 3",
    "dm³": "decimeter ** 3",
    "ft³": "foot ** 3",
    "qt": "imperial_quart",
    "fl oz": "imperial_fluid_ounce",
    "US gal": "US_liquid_gallon",
    "l/s": "liter / second",
    "ml/min": "milliliter / minute",
    "m³/h": "meter ** 3 / hour",
    "gal/min": "imperial_gallon / minute",
    "gal/h": "imperial_gallon / hour",
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
