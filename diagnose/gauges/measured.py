"""A value with its standard uncertainty, and how uncertainties pass through a formula.

JCGM 100:2008 (the guide to the expression of uncertainty in measurement): every input has a standard
uncertainty, and that of the result is the root of the summed squares of the inputs' shares (5.1.2, equation
10, inputs independent). The derivatives are taken numerically, so that a formula stands in the code once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import floor, hypot, isfinite, log10, sqrt

STEP = 0.01
"""The part of an input's uncertainty over which a derivative is taken: small, yet far above rounding."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard uncertainty, both in one unit that is known from where it stands.

    Of a thermometer that shows 5 °C it is (5.0, 1.0): about two times in three the truth lies within 4 and 6.
    """

    value: float
    uncertainty: float = 0.0


def exactly(value: float) -> Measured:
    """A value without any doubt, such as one that a definition fixes."""
    return Measured(value, 0.0)


def half_width(most_out: float) -> float:
    """The standard uncertainty of what may be out by that much either way, all errors within as likely.

    JCGM 100:2008, 4.3.7: a rectangular distribution of half-width a has the standard uncertainty a/√3.

    >>> round(half_width(0.1), 3)
    0.058
    """
    return most_out / sqrt(3)


def propagate(formula: Callable[..., float], *inputs: Measured) -> Measured:
    """What the formula gives for the inputs, with the uncertainty that theirs bring (first order).

    JCGM 100:2008, equations 10 and 11a for independent inputs. The formula has to be smooth for a hundredth
    of each uncertainty around the values; at a kink the mean of both slopes counts.

    >>> propagate(lambda volts, ohms: volts / ohms, Measured(12.0, 0.3), Measured(4.0, 0.0))
    Measured(value=3.0, uncertainty=0.075)
    """
    values = [each.value for each in inputs]
    shares = [_share(formula, values, place, each) for place, each in enumerate(inputs)]
    return Measured(formula(*values), round(hypot(*shares), 12))


def _share(formula: Callable[..., float], values: list[float], place: int, each: Measured) -> float:
    """What one input's uncertainty alone does to the result."""
    if each.uncertainty == 0:
        return 0.0
    step = STEP * each.uncertainty
    above, below = list(values), list(values)
    above[place] += step
    below[place] -= step
    return (formula(*above) - formula(*below)) / 2 / STEP


def written(measured: Measured, unit: str) -> str:
    """Value ± uncertainty with the unit, the uncertainty in two figures (JCGM 100:2008, 7.2.6).

    Without uncertainty the value stands in four figures.

    >>> written(Measured(46.4286, 6.9048), "%"), written(Measured(2.5), "mm²")
    ('46.4 ± 6.9 %', '2.5 mm²')
    """
    tail = f" {unit}" if unit else ""
    if not isfinite(measured.value) or measured.uncertainty <= 0:
        return f"{measured.value:.4g}{tail}"
    digits = 1 - floor(log10(measured.uncertainty))
    shown = [f"{round(each, digits):.{max(digits, 0)}f}" for each in (measured.value, measured.uncertainty)]
    return f"{shown[0]} ± {shown[1]}{tail}"
