from __future__ import annotations

import doctest
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import units
from diagnose.gauges.unit_table import KINDS, SPELT
from diagnose.gauges.units import OtherKind, UnknownUnit, kind_of, turned_into

UNITS = [unit for kind in KINDS.values() for unit in kind]
PAIRS = [(one, other) for kind in KINDS.values() for one in kind for other in kind]


def test_the_examples_in_the_docstrings_hold():
    result = doctest.testmod(units)
    assert (result.attempted >= 1, result.failed) == (True, 0)


def test_no_spelling_stands_for_two_units():
    spellings = [each for unit, others in SPELT.items() for each in others]
    assert len(spellings) == len(set(spellings))
    assert not set(spellings) & {unit for unit in UNITS if unit not in spellings} - set(SPELT)


def test_every_unit_has_one_kind():
    assert len(UNITS) == len(set(UNITS))
    assert all(kind_of(unit) in KINDS for unit in UNITS)


@given(st.sampled_from(PAIRS), st.floats(-1e4, 1e4))
def test_there_and_back_gives_the_same(pair, value):
    one, other = pair
    back = turned_into(turned_into(value, one, other), other, one)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.sampled_from(PAIRS), st.floats(-100, 100), st.floats(0.1, 100))
def test_a_difference_is_the_difference_of_both_ends(pair, low, more):
    one, other = pair
    ends = turned_into(low + more, one, other) - turned_into(low, one, other)
    assert turned_into(more, one, other, difference=True) == pytest.approx(ends, rel=1e-6, abs=1e-6)


def test_milli_is_exact():
    assert turned_into(12400, "mV", "V") == 12.4
    assert turned_into(30, "mA", "A") == 0.03


@pytest.mark.parametrize(
    ("spelt", "unit", "wanted"),
    [
        ("v", "V", "V"),
        ("Volts", "V", "V"),
        ("PSI", "psi", "bar"),
        ("AH", "Ah", "Ah"),
        ("ah", "Ah", "Ah"),
        ("Litres", "l", "l"),
        ("L", "l", "l"),
        ("Kg", "kg", "kg"),
        ("F", "°F", "°C"),
        ("f", "°F", "°C"),
        ("°f", "°F", "°C"),
        ("mm2", "mm²", "mm²"),
        ("sq  mm", "mm²", "mm²"),
        ("ohms", "Ω", "Ω"),
        ("ml per 10 l", "ml/10l", "ml/l"),
    ],
)
def test_units_are_known_as_people_spell_them(spelt, unit, wanted):
    assert turned_into(7.0, spelt, wanted) == turned_into(7.0, unit, wanted)


def test_letters_of_mixed_size_are_not_guessed():
    # mPa is a thousandth, MPa a million: "mpa" and "MPA" are taken as the latter, mPa as what it is.
    assert turned_into(1, "mpa", "bar") == 10
    assert turned_into(1, "mPa", "bar") == pytest.approx(1e-8)


@pytest.mark.parametrize(
    ("unit", "wanted"), [("bar", "V"), ("V", "bar"), ("kg", "l"), ("mAh", "A"), ("°C", "%")]
)
def test_a_unit_of_something_else_says_what_it_measures(unit, wanted):
    with pytest.raises(OtherKind) as refused:
        turned_into(1, unit, wanted)
    assert refused.value.kind == kind_of(unit)


@pytest.mark.parametrize(
    ("value", "unit", "wanted", "found"),
    [
        # NIST SP 811, B.8: a slug is 14.59390 kg; by definition a barye is 0.1 Pa, an erg is 1e-7 J.
        (1, "slug", "kg", 14.5939029),
        (1, "barye", "bar", 1e-6),
        (36e12, "erg", "kWh", 1.0),
    ],
)
def test_rare_units_are_turned_by_the_library(value, unit, wanted, found):
    assert turned_into(value, unit, wanted) == pytest.approx(found, rel=1e-6)


@pytest.mark.parametrize(
    ("value", "spelt", "wanted", "found"),
    [
        # NIST SP 811 (2008), appendix B.8, to the digits printed there.
        (1, "kg/cm2", "bar", 0.980665),
        (30, "inHg", "bar", 30 * 0.03386389),
        (1, "inches of water", "mbar", 2.490889),
        (1, "hp", "W", 745.6999),
        (1, "PS", "W", 735.4988),
        (1, "BTU per hour", "W", 0.2930711),
        (1, "fl oz", "ml", 28.41306),
        (1, "US gallons", "l", 3.785412),
        (1, "cubic feet", "l", 28.31685),
        (16, "ounces", "kg", 0.4535924),
        (2, "yards", "m", 1.8288),
    ],
)
def test_what_stands_on_old_gauges_and_labels_is_turned_as_printed(value, spelt, wanted, found):
    assert turned_into(value, spelt, wanted) == pytest.approx(found, rel=2e-7)


@pytest.mark.parametrize(
    ("word", "meant"), [("vlots", "volts"), ("galons", "gallons"), ("Minuts", "minutes"), ("wats", "watts")]
)
def test_a_misspelt_unit_is_refused_with_the_right_spelling(word, meant):
    with pytest.raises(UnknownUnit, match=f'did you mean "{meant}"'):
        turned_into(1, word, "V")


def test_a_ton_is_not_guessed():
    for word in ("ton", "Tons"):
        with pytest.raises(UnknownUnit, match="two ways: write t"):
            turned_into(1, word, "kg")


def test_a_rare_unit_of_something_else_is_refused():
    with pytest.raises(OtherKind):
        turned_into(1, "furlong", "V")


@pytest.mark.parametrize(
    "unit",
    ["blorps", "m**9**9**9", "9**9", "V+V", "__import__", "(V)", "kg m", "²", "V" * 50, "m^9", "lambda"],
)
def test_what_is_no_unit_is_refused_and_never_worked_out(unit):
    with pytest.raises((UnknownUnit, OtherKind)):
        turned_into(1, unit, "V")


def test_a_temperature_and_a_share_have_no_rare_units():
    for wanted in ("°C", "%", "months", "ml/l"):
        with pytest.raises(UnknownUnit):
            turned_into(1, "rankine", wanted)


def test_neither_a_unit_of_the_table_nor_a_slip_of_the_fingers_loads_the_library():
    code = """
import sys
from diagnose.gauges.unit_table import KINDS, SPELT
from diagnose.gauges.units import UnknownUnit, kind_of, turned_into

for unit, others in SPELT.items():
    for spelling in (unit, *others):
        turned_into(28, spelling, next(iter(KINDS[kind_of(unit)])))
for slip in ("vlots", "litters", "tons"):
    try:
        turned_into(28, slip, "bar")
    except UnknownUnit:
        continue
    sys.exit("taken: " + slip)
sys.exit("loaded" if "pint" in sys.modules else 0)
"""
    subprocess.run([sys.executable, "-c", code], check=True)
