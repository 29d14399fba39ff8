"""A value with its standard uncertainty, and how uncertainties pass through a formula.

JCGM 100:2008 (the guide to the expression of uncertainty in measurement): every input has a standard
uncertainty, and that of the result is the root of the summed squares of the inputs' shares (5.1.2, equation
10, inputs independent). Readings on board are rough, and dividing by a current that is known to 14 % is not
straight any more, so the terms of the next order are added (note to 5.1.2). The derivatives are taken
numerically, so that a formula stands in the code once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from math import floor, isfinite, log10, sqrt

STEP = 0.01
"""The part of an input's uncertainty over which a slope is taken: small, yet far above rounding."""

STRIDE = 0.5
"""The same for the next order."""


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


def propagate(formula: Callable[..., float], *inputs: Measured, straight: bool = False) -> Measured:
    """What the formula gives for the inputs, with the uncertainty that theirs bring.

    JCGM 100:2008, equation 10 and the note to 5.1.2, for independent inputs near a normal distribution. The
    next order only ever adds to the first; it is left out where the formula does not reach half of an
    uncertainty far. A formula of `straight` pieces has no next order: its slopes are taken over a whole
    uncertainty either way (note 2 to 5.1.3), so that both sides of a bend count.

    >>> propagate(lambda volts, ohms: volts / ohms, Measured(12.0, 0.3), Measured(4.0, 0.0))
    Measured(value=3.0, uncertainty=0.075)
    """
    doubtful = [place for place, each in enumerate(inputs) if each.uncertainty > 0]

    def at(*moves: tuple[int, float]) -> float:
        """The formula with some inputs moved by parts of their uncertainties."""
        values = [each.value for each in inputs]
        for place, part in moves:
            values[place] += part * inputs[place].uncertainty
        return formula(*values)

    step = 1.0 if straight else STEP
    slopes = {place: (at((place, step)) - at((place, -step))) / (2 * step) for place in doubtful}
    variance = sum(slope**2 for slope in slopes.values())
    if not straight:
        # A root or a quotient may end within half of an uncertainty.
        with suppress(ArithmeticError, ValueError, TypeError):
            variance += max(_next_order(at, slopes), 0.0)
    return Measured(at(), round(sqrt(variance), 12))


def _next_order(at: Callable[..., float], slopes: Mapping[int, float]) -> float:
    """The sum over i and j of f_ij² / 2 + f_i f_ijj, derivatives in units of the uncertainties."""
    here, h = at(), STRIDE
    total = 0.0
    for i, slope in slopes.items():
        for j in slopes:
            if i == j:
                second = (at((i, h)) - 2 * here + at((i, -h))) / h**2
                # What a wide central difference differs by from a narrow one is h²/6 of the third derivative.
                third = 6 * ((at((i, h)) - at((i, -h))) / (2 * h) - slope) / h**2
            else:
                above, below = ([at((i, side), (j, part)) for part in (h, 0.0, -h)] for side in (h, -h))
                second = (above[0] - above[2] - below[0] + below[2]) / (4 * h**2)
                bends = [(line[0] - 2 * line[1] + line[2]) / h**2 for line in (above, below)]
                third = (bends[0] - bends[1]) / (2 * h)
            total += second**2 / 2 + slope * third
    return total


def written(measured: Measured, unit: str) -> str:
    """Value ± uncertainty with the unit, the uncertainty in two figures (JCGM 100:2008, 7.2.6).

    Without uncertainty the value stands in four figures.

    >>> written(Measured(46.4286, 6.9048), "%"), written(Measured(2.5), "mm²")
    ('46.4 ± 6.9 %', '2.5 mm²')
    """
    tail = f" {unit}" if unit else ""
    if not isfinite(measured.value) or measured.uncertainty <= 0:
        return f"{measured.value:.4g}{tail}"
    # Rounded first: 0.0996 in two figures is 0.10, not 0.100.
    digits = 1 - floor(log10(float(f"{measured.uncertainty:.1e}")))
    shown = [f"{round(each, digits):.{max(digits, 0)}f}" for each in (measured.value, measured.uncertainty)]
    return f"{shown[0]} ± {shown[1]}{tail}"
