"""What a liquid gas in its cylinder presses with at a temperature.

Vapour pressures follow the equations printed with the reference equations of state: Lemmon, McLinden and
Wagner (2009) for propane, Bücker and Wagner (2006) for butane (coefficients from memory, held against a
reference library by the tests).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp

AIR = 101.325
"""Standard air pressure at sea level in kPa (ISO 2533)."""

ZERO = 273.15
"""0 °C in kelvin."""

PROPANE_GRAMS, BUTANE_GRAMS = 44.0956, 58.1222
"""Molar masses in g/mol."""


def vapour_pressure(
    celsius: float, critical: float, pressure: float, terms: Sequence[tuple[float, float]]
) -> float:
    """Saturation pressure in kPa: ln(p/pc) = Tc/T · Σ n·(1 - T/Tc)^k, with T in kelvin and pc in kPa."""
    kelvin = celsius + ZERO
    below = 1 - kelvin / critical
    return pressure * exp(critical / kelvin * sum(factor * below**power for factor, power in terms))


def propane_pressure(celsius: float) -> float:
    """Absolute saturation pressure of propane in kPa (Lemmon, McLinden and Wagner 2009).

    >>> round(propane_pressure(0))
    474
    """
    terms = ((-6.7722, 1.0), (1.6938, 1.5), (-1.3341, 2.2), (-3.1876, 4.8), (0.94937, 6.2))
    return vapour_pressure(celsius, 369.89, 4251.2, terms)


def butane_pressure(celsius: float) -> float:
    """Absolute saturation pressure of n-butane in kPa (Bücker and Wagner 2006).

    >>> round(butane_pressure(0))
    103
    """
    terms = ((-7.17616903, 1.0), (2.53635336, 1.5), (-2.07532869, 2.0), (-2.82241113, 4.5))
    return vapour_pressure(celsius, 425.125, 3796.0, terms)


def propane_moles(by_weight: float) -> float:
    """Molar share of propane in a mix with butane, from its share by weight (both 0 to 1).

    >>> round(propane_moles(0.5), 3)
    0.569
    """
    propane, butane = by_weight / PROPANE_GRAMS, (1 - by_weight) / BUTANE_GRAMS
    return propane / (propane + butane)


def full_mix_pressure(celsius: float, by_weight: float) -> float:
    """Absolute pressure in kPa over a full cylinder of propane and butane mixed: Raoult's law.

    `by_weight` is propane's share, 0 to 1. Propane boils off first, so this is the most that such a cylinder
    ever shows; near its end it comes down to that of butane.
    """
    moles = propane_moles(by_weight)
    return moles * propane_pressure(celsius) + (1 - moles) * butane_pressure(celsius)


def propane_head(celsius: float) -> float:
    """What propane's vapour presses above the air at sea level, in mbar; below nought it stays liquid."""
    return (propane_pressure(celsius) - AIR) * 10


def butane_head(celsius: float) -> float:
    """What butane's vapour presses above the air at sea level, in mbar; below nought it does not vaporise.

    >>> round(butane_head(4)), round(butane_head(0))
    (185, 19)
    """
    return (butane_pressure(celsius) - AIR) * 10
