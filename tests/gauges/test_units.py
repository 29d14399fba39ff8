from __future__ import annotations

import doctest
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import units
from diagnose.gauges.units import KINDS, OtherKind, UnknownUnit, kind_of, turned_into

UNITS = [unit for kind in KINDS.values() for unit in kind]
PAIRS = [(one, other) for kind in KINDS.values() for one in kind for other in kind]


def test_the_examples_in_the_docstrings_hold():
    result = doctest.testmod(units)
    assert (result.attempted >= 1, result.failed) == (True, 0)


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
        # By definition: 1 kgf = 9.80665 N, 1 in Hg = 3386.389 Pa (0 °C), 1 oz = 1/16 lb, 1 yd = 0.9144 m.
        (1, "kgf/cm^2", "bar", 0.980665),
        (30, "inHg", "bar", 1.0159167),
        (16, "ounce", "kg", 0.45359237),
        (1, "yard", "m", 0.9144),
        (3600, "coulomb", "Ah", 1.0),
    ],
)
def test_rare_units_are_turned_by_the_library(value, unit, wanted, found):
    assert turned_into(value, unit, wanted) == pytest.approx(found, rel=1e-6)


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


def test_units_of_the_table_do_not_load_the_library():
    code = (
        "import sys; from diagnose.gauges.units import turned_into; turned_into(28, 'psi', 'bar'); "
        "sys.exit('pint' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
