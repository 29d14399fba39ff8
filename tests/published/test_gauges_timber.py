"""Timber's moisture against the Wood Handbook."""

from __future__ import annotations

import pytest

from diagnose.gauges import timber
from diagnose.gauges.register import gauge

HUMIDITIES = range(5, 100, 5)

# Wood Handbook (Forest Products Laboratory), table 4-2: moisture in % by relative humidity 5, 10 ... 95 %, at
# 30, 50, 70 and 80 °F. From memory.
HANDBOOK = {
    30: "1.4 2.6 3.7 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.4 11.3 12.4 13.5 14.9 16.5 18.5 21.0 24.3",
    50: "1.4 2.6 3.6 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.3 11.2 12.3 13.4 14.8 16.4 18.4 20.9 24.3",
    70: "1.3 2.5 3.5 4.5 5.4 6.2 6.9 7.7 8.5 9.2 10.1 11.0 12.0 13.1 14.4 16.0 17.9 20.5 23.9",
    80: "1.3 2.4 3.5 4.4 5.3 6.1 6.8 7.6 8.3 9.1 9.9 10.8 11.7 12.9 14.2 15.7 17.7 20.2 23.6",
}


@pytest.mark.parametrize("fahrenheit", HANDBOOK)
def test_moisture_is_that_of_the_handbook_to_its_digits(fahrenheit):
    printed = [float(figure) for figure in HANDBOOK[fahrenheit].split()]
    celsius = (fahrenheit - 32) * 5 / 9
    assert len(printed) == len(HUMIDITIES)
    for humidity, moisture in zip(HUMIDITIES, printed, strict=True):
        assert timber.equilibrium_moisture(celsius, humidity / 100) == pytest.approx(moisture, abs=0.11)


def test_moisture_at_twenty_degrees():
    # Computed by the same equation elsewhere; its coefficients were read second-hand.
    printed = {0.40: 7.7, 0.60: 11.0, 0.80: 16.0, 0.90: 20.5}
    for humidity, moisture in printed.items():
        assert timber.equilibrium_moisture(20, humidity) == pytest.approx(moisture, abs=0.06)


def by_fahrenheit(fahrenheit, humidity):
    """The same equation with the handbook's coefficients for °F (from memory), fitted and printed apart."""
    weight = 330 + 0.452 * fahrenheit + 0.00415 * fahrenheit**2
    k = 0.791 + 0.000463 * fahrenheit - 0.000000844 * fahrenheit**2
    k1 = 6.34 + 0.000775 * fahrenheit - 0.0000935 * fahrenheit**2
    k2 = 1.09 + 0.0284 * fahrenheit - 0.0000904 * fahrenheit**2
    x = k * humidity
    return 1800 / weight * (x / (1 - x) + (k1 * x + 2 * k1 * k2 * x**2) / (1 + k1 * x + k1 * k2 * x**2))


@pytest.mark.parametrize("fahrenheit", [32, 50, 70, 90])
def test_both_sets_of_coefficients_agree(fahrenheit):
    for humidity in (0.1, 0.35, 0.6, 0.8, 0.95):
        celsius = (fahrenheit - 32) * 5 / 9
        other = by_fahrenheit(fahrenheit, humidity)
        assert timber.equilibrium_moisture(celsius, humidity) == pytest.approx(other, abs=0.1)


def test_the_worked_example_of_damp_timber():
    # Worked beforehand: 10 ± 1 °C and 80 ± 3 % give 16.4 ± 1.1 %.
    found = gauge("timber-moisture").outcome({"temperature": "10 ± 1 °C", "humidity": "80 ± 3 %"})[1]
    assert found.in_words() == "16.4 ± 1.1 %"
