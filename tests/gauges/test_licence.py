"""The licence rule: dated, in doubt, and never the last word."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import licence
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.register import gauge


def told(plate, age, first, today="2026-03-25"):
    return gauge("licence").outcome({"plate": plate, "age": age, "first-licence": first, "today": today})[1]


@pytest.mark.parametrize(
    ("plate", "age", "first", "says"),
    [
        ("3500 kg", "75", "1980", "category B, the car licence, goes to that weight"),
        ("3501 kg", "69", "1980", "category C1, which a car licence from before 1997 carries until 70"),
        ("3850 kg", "70", "1996", "lapsed at 70 unless a doctor's report (form D4) was sent in"),
        ("3850 kg", "50", "1997", "it is not driven before that test is passed"),
        ("7.5 t", "60", "1990", "category C1"),
        ("7501 kg", "60", "1990", "category C, which no car licence carries"),
        ("2 t", "16", "2026", "too young"),
        ("4 t", "17", "2026", "too young"),
    ],
)
def test_the_rule_by_weight_age_and_year(plate, age, first, says):
    assert says in told(plate, age, first).meaning


@given(st.floats(500, 44_000), st.integers(17, 100), st.integers(1940, 2026))
def test_every_result_names_the_authority_the_year_and_the_doubt(plate, age, first):
    if age - (2026 - first) < 16:
        return
    found = told(f"{plate:.0f} kg", str(age), str(first))
    assert "Ask the authority" in found.meaning
    said = " ".join(found.notes)
    assert "as written down here in 2026" in said
    assert "in doubt" in said
    assert "certifies nothing" in said
    assert "may " not in found.meaning  # it never says that somebody may drive


@given(st.floats(500, 44_000), st.integers(0, 100), st.integers(1940, 2026))
def test_a_heavier_vehicle_or_a_later_licence_never_asks_for_less(plate, age, first):
    order = ["category-b", "category-c1", "c1-with-medical", "c1-test-first", "category-c", "too-young"]
    here = order.index(licence.category(plate, age, first))
    if licence.category(plate + 500, age, first) != "category-c":  # where age and year count no more
        assert order.index(licence.category(plate + 500, age, first)) >= here
    assert order.index(licence.category(plate, age, first + 10)) >= here


def test_a_later_year_says_that_the_rule_may_have_changed():
    assert any("may have changed" in note for note in told("4 t", "60", "1990", "2029-01-01").notes)
    assert not any("may have changed" in note for note in told("4 t", "60", "1990").notes)


def test_from_seventy_every_licence_is_renewed_every_three_years():
    assert any("every three years" in note for note in told("3 t", "70", "1975").notes)
    assert not any("every three years" in note for note in told("3 t", "69", "1975").notes)


@pytest.mark.parametrize(
    ("plate", "age", "first", "reason"),
    [
        ("3.5 kg", "60", "1990", "is it in t"),
        ("-3 t", "60", "1990", "is it in t"),
        ("90 t", "60", "1990", "no vehicle's plate says so much"),
        ("3 t", "-4", "1990", "nobody is younger than nothing"),
        ("3 t", "160", "1990", "nobody drives at that age"),
        ("3 t", "60", "90", "is no year"),
        ("3 t", "60", "1890", "nobody who drives today"),
        ("3 t", "60", "2031", "still to come on 2026-03-25"),
        ("3 t", "30", "1994", "was a child in 1994"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(plate, age, first, reason):
    with pytest.raises(NotPossible, match=reason):
        told(plate, age, first)
