"""Parts of a whole, rounded so that they still sum to it."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor


def rounded(parts: Sequence[float], whole: float, digits: int) -> list[float]:
    """The parts to so many digits: what rounding down leaves goes to the largest remainders.

    A part above nought stays above nought. The parts sum to the whole, which is a number of so many digits
    (else to the nearest one).

    >>> rounded([33.333, 33.333, 33.334], 100.0, 1)
    [33.3, 33.3, 33.4]
    >>> rounded([0.9985, 0.001, 0.0005], 1.0, 2)
    [0.98, 0.01, 0.01]
    """
    unit = 10**digits
    exact = [part * unit for part in parts]
    units = [max(1, floor(each + 1e-9)) if each > 0 else 0 for each in exact]
    missing = round(whole * unit) - sum(units)
    by_remainder = sorted(range(len(units)), key=lambda at: units[at] - exact[at])
    while missing > 0:
        for at in by_remainder[:missing]:
            units[at] += 1 if exact[at] > 0 else 0
        missing = round(whole * unit) - sum(units)
    while missing < 0:
        # What was lifted to one unit is taken from whoever lies furthest over what it should have, or most.
        at = max(range(len(units)), key=lambda at: (units[at] > 1, units[at] - exact[at], units[at]))
        units[at] -= 1
        missing += 1
    return [each / unit for each in units]
