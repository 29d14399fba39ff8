"""How well a chance that a file states agrees with how often it was so.

    share p, seen n of N    Jeffreys' interval: the quantiles of Beta(n + 1/2, N - n + 1/2) (Brown, Cai &
                            DasGupta 2001); p lies outside the one of level 1 - c if its chance is below c
    many at once            Benjamini & Hochberg 1995

The incomplete beta function behind the first: its continued fraction (DLMF 8.17.22). Sources from memory; the
tests hold each against scipy and statsmodels. Counts need not be whole: cases may weigh less than one.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, lgamma, log, log1p

_TINY = 1e-300


def beta_share(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b): how much of Beta(a, b) lies below x.

    >>> round(beta_share(2, 3, 0.5), 4)
    0.6875
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):  # where the fraction converges fast
        return 1 - beta_share(b, a, 1 - x)
    scale = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    # Lentz's way of working out the continued fraction from its front.
    c, d = 1.0, 1 / _apart_from_nought(1 - (a + b) * x / (a + 1))
    fraction = d
    for m in range(1, 100_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / _apart_from_nought(1 + term * d)
            c = _apart_from_nought(1 + term / c)
            fraction *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return min(1.0, max(0.0, scale * fraction / a))


def _apart_from_nought(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def agreement(hits: float, of: float, share: float) -> float:
    """The chance up to which Jeffreys' interval of `hits` of `of` still holds `share`; 1 for none of none.

    Twice the smaller part of Beta(hits + 1/2, of - hits + 1/2) on one side of it.
    """
    if of <= 0:
        return 1.0
    below = beta_share(hits + 0.5, of - hits + 0.5, share)
    return min(1.0, 2 * min(below, 1 - below))


def controlled(chances: Sequence[float]) -> list[float]:
    """Each chance adjusted for there being many: of those at or below c, c on average are chance alone.

    >>> controlled([0.01, 0.04, 0.03])
    [0.03, 0.04, 0.04]
    """
    adjusted, lowest = [1.0] * len(chances), 1.0
    for rank, at in enumerate(sorted(range(len(chances)), key=lambda i: -chances[i])):
        lowest = min(lowest, chances[at] * len(chances) / (len(chances) - rank))
        adjusted[at] = lowest
    return adjusted
