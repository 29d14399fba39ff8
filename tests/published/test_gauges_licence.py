"""The licence rule against what public guides say of it."""

from __future__ import annotations

import pytest

from diagnose.gauges.licence import category

# Public guides to driving larger leisure vehicles in the United Kingdom, read second-hand; the law itself
# from memory. Passed before 1 January 1997: to 7,500 kg without a further test. Passed later: to 3,500 kg.
# From 70 on the larger class is kept only with a doctor's report (D4). All of it in doubt: only the authority
# decides.


@pytest.mark.parametrize("plate", [3501, 4250, 5000, 7500])
def test_an_early_licence_carries_the_larger_class_and_a_late_one_does_not(plate):
    assert category(plate, 55, 1996) == "category-c1"
    assert category(plate, 45, 1997) == "c1-test-first"


@pytest.mark.parametrize("age", [69, 70, 71, 85])
def test_at_seventy_it_takes_a_doctors_report(age):
    assert category(4000, age, 1970) == ("c1-with-medical" if age >= 70 else "category-c1")


@pytest.mark.parametrize("first", [1970, 1996, 1997, 2015])
def test_to_three_and_a_half_tonnes_the_car_licence_serves_at_any_age(first):
    assert {category(3500, age, first) for age in (30, 69, 70, 88)} == {"category-b"}


def test_beyond_seven_and_a_half_tonnes_no_car_licence_serves():
    assert category(7501, 55, 1990) == "category-c"
