"""Readings as they are typed, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.terms import Band, Check, Reading
from diagnose.walking.readings import BadReading, band_of, example, parse_reading

VOLTS = Reading("V", 0, 16, 0.1)
BAR = Reading("bar", 0, 8, 0.1)
CELSIUS = Reading("°C", -30, 45, 1)
MONTHS = Reading("months", 0, 60, 0.5)


@pytest.mark.parametrize(
    ("text", "reading", "value"),
    [
        ("12.4", VOLTS, 12.4),
        ("12,4", VOLTS, 12.4),
        ("12,4 V", VOLTS, 12.4),
        ("12.4v", VOLTS, 12.4),
        ("12.4 volts", VOLTS, 12.4),
        ("12400 mV", VOLTS, 12.4),
        ("12400mv", VOLTS, 12.4),
        ("0.0124 kV", VOLTS, 12.4),
        ("+12", VOLTS, 12.0),
        (".5", VOLTS, 0.5),
        ("-3 °C", CELSIUS, -3.0),
        ("−3 c", CELSIUS, -3.0),
        ("- 3", CELSIUS, -3.0),
        ("450 kPa", BAR, 4.5),
        ("3500 mbar", BAR, 3.5),
        ("7 months", MONTHS, 7.0),
        ("1 year", MONTHS, 12.0),
    ],
)
def test_what_people_type_is_understood(text, reading, value):
    assert parse_reading(text, reading) == value


def test_pounds_per_square_inch_become_bar():
    # NIST Special Publication 811 (2008), appendix B.8: 1 psi = 6.894 757 E+03 Pa.
    assert parse_reading("28 psi", BAR) == pytest.approx(28 * 6894.757 / 1e5, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "reading", "message"),
    [
        ("28 psi", VOLTS, '"psi" is not a unit of this reading: it is taken in V.'),
        ("12 A", VOLTS, '"A" is not a unit of this reading: it is taken in V.'),
        ("full", VOLTS, '"full" is not a reading: type a number, such as 8 V.'),
        ("", VOLTS, '"" is not a reading: type a number, such as 8 V.'),
        ("17", VOLTS, "17 V cannot be: a reading here lies between 0 and 16 V."),
        ("-1 V", VOLTS, "-1 V cannot be: a reading here lies between 0 and 16 V."),
        ("12,400 mV", VOLTS, '"12,400" can be read in two ways: type 12400 or 12.400.'),
        ("1.2.3", VOLTS, '".3" is not a unit of this reading: it is taken in V.'),
        ("nan", VOLTS, '"nan" is not a reading: type a number, such as 8 V.'),
        ("12 \x1b[31mV", VOLTS, '" [31mV" is not a unit of this reading: it is taken in V.'),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_be_right(text, reading, message):
    with pytest.raises(BadReading) as refused:
        parse_reading(text, reading)
    assert str(refused.value) == message


@given(st.floats(0, 16).map(lambda x: round(x, 3)), st.sampled_from(["V", " V", "", " volts"]), st.booleans())
def test_a_number_in_the_checks_own_unit_is_taken_as_it_is(value, unit, comma):
    text = f"{value:.3f}"
    if comma and len(text.split(".")[1]) != 3:
        text = text.replace(".", ",")
    assert parse_reading(text + unit, VOLTS) == value


@given(st.integers(0, 16000))
def test_a_prefix_does_not_blur_a_value(millivolts):
    assert parse_reading(f"{millivolts} mV", VOLTS) == millivolts / 1000


@given(st.text(max_size=60))
def test_no_text_breaks_the_reader(text):
    assert value_or_refusal(text)


def value_or_refusal(text):
    """Whether a text gives a value within the range, or a refusal that can be printed."""
    try:
        return 0 <= parse_reading(text, VOLTS) <= 16
    except BadReading as refused:
        return str(refused).isprintable()


def test_a_band_takes_its_lower_end_and_the_last_the_top_of_the_range():
    bands = (Band("low", 0, 11.5), Band("good", 11.5, 16))
    check = Check("v", "?", "", "look", "owner", 1, (), VOLTS, bands)
    found = [band_of(check, value) for value in (0, 11.49, 11.5, 16, 16.1, -0.1)]
    assert found == ["low", "low", "good", "good", None, None]


def test_the_example_is_itself_a_reading():
    for reading in (VOLTS, BAR, CELSIUS, MONTHS):
        assert parse_reading(example(reading), reading) is not None
