"""Intervals of counts and shares, and tests of what looks unusual. Plain arithmetic, no case is known here.

    share k of n           Wilson 1927
    count k                exact Poisson limits, Garwood 1936
    above a share          the binomial law's upper tail
    above the others       Fisher's exact test, one-sided (hypergeometric tail)
    many of one vehicle    Poisson cut off below one: a vehicle without a case is not known at all
    many tests at once     Benjamini & Hochberg 1995

The incomplete gamma function behind the second and the fourth: its series and continued fraction (Abramowitz
& Stegun 6.5.29 and 6.5.31). All sources from memory; the tests hold each against scipy or statsmodels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, lgamma, log, nan, sqrt
from statistics import NormalDist

import numpy as np

from diagnose.reasoning.intervals import LEVEL, wilson_ends


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with the two ends of its 90 % interval."""

    value: float
    low: float
    high: float


# Shares and counts ----------------------------------------------------------------------------------------


def share(hits: float, of: float, level: float = LEVEL) -> Interval:
    """`hits` of `of` as a share, with Wilson's interval; NaN, and anything from 0 to 1, for none of none.

    >>> [round(end, 4) for end in (share(8, 10, 0.95).low, share(8, 10, 0.95).high)]
    [0.4902, 0.9433]
    """
    if of <= 0:
        return Interval(nan, 0.0, 1.0)
    return Interval(hits / of, *wilson_ends(hits / of, of, level))


def count(number: int, level: float = LEVEL) -> Interval:
    """A count with the means between which a Poisson law gives it (Garwood 1936).

    >>> [round(end, 2) for end in (count(10, 0.95).low, count(10, 0.95).high)]
    [4.8, 18.39]
    """
    rest = (1 - level) / 2
    low = _gamma_quantile(number, rest) if number else 0.0
    return Interval(float(number), low, _gamma_quantile(number + 1, 1 - rest))


def gamma_share(shape: float, x: float) -> float:
    """The regularised incomplete gamma function: the chance of `shape` or more events where x are usual."""
    if x <= 0:
        return 0.0
    scale = exp(shape * log(x) - x - lgamma(shape))
    if x < shape + 1:
        term = total = 1 / shape
        number = shape
        while term > total * 1e-17:
            number += 1
            term *= x / number
            total += term
        return min(1.0, total * scale)
    # Lentz's way of working out the continued fraction from its front.
    b, c = x + 1 - shape, inf
    d = h = 1 / b
    for i in range(1, 100_000):
        a = i * (shape - i)
        b += 2
        d, c = 1 / (a * d + b), b + a / c
        h *= d * c
        if abs(d * c - 1) < 1e-15:
            break
    return max(0.0, 1 - scale * h)


def _gamma_quantile(shape: float, chance: float) -> float:
    """Where P(shape, x) is `chance`: from Wilson & Hilferty's cube by Newton's steps, never below nought."""
    ninth = 1 / (9 * shape)
    x = max(shape * (1 - ninth + NormalDist().inv_cdf(chance) * sqrt(ninth)) ** 3, 1e-3 * shape)
    for _ in range(100):
        density = exp((shape - 1) * log(x) - x - lgamma(shape))
        step = (gamma_share(shape, x) - chance) / density
        x = max(x - step, x / 4)
        if abs(step) < 1e-12 * x:
            break
    return x


# What is above the others ---------------------------------------------------------------------------------


def above_the_others(hits: int, of: int, all_hits: int, all_of: int) -> float:
    """How likely so many hits or more would be among `of`, were they spread by chance over `all_of`.

    Fisher's exact test, one-sided: the upper tail of the hypergeometric law.
    """
    if hits <= max(0, of + all_hits - all_of):
        return 1.0
    first = _log_choose(all_hits, hits) + _log_choose(all_of - all_hits, of - hits) - _log_choose(all_of, of)
    j = np.arange(hits, min(of, all_hits), dtype=float)
    ratios = (all_hits - j) * (of - j) / ((j + 1) * (all_of - all_hits - of + j + 1))
    terms = first + np.concatenate([[0.0], np.cumsum(np.log(ratios))])
    return float(min(1.0, np.exp(np.logaddexp.reduce(terms))))


def _log_choose(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def above_a_share(hits: int, of: int, usual: float) -> float:
    """How likely so many hits or more are among `of`, each of them one with the chance `usual`.

    The upper tail of the binomial law.
    """
    if hits <= 0:
        return 1.0
    j = np.arange(hits, of, dtype=float)
    ratios = (of - j) / (j + 1) * usual / (1 - usual)
    first = _log_choose(of, hits) + hits * log(usual) + (of - hits) * log(1 - usual)
    terms = first + np.concatenate([[0.0], np.cumsum(np.log(ratios))])
    return float(min(1.0, np.exp(np.logaddexp.reduce(terms))))


def rate_of_vehicles(mean: float) -> float:
    """The rate of a Poisson law whose mean is this without noughts: rate / (1 - e^-rate) = mean."""
    if mean <= 1:
        return 0.0
    low, high = 0.0, mean
    while high - low > 1e-13 * high:
        rate = (low + high) / 2
        low, high = (rate, high) if rate < mean * -np.expm1(-rate) else (low, rate)
    return (low + high) / 2


def many_of_one(number: int, mean: float) -> float:
    """How likely a vehicle has `number` cases or more, where those that have any have `mean` of them."""
    rate = rate_of_vehicles(mean)
    if number <= 1 or rate == 0:
        return 1.0
    return min(1.0, gamma_share(number, rate) / float(-np.expm1(-rate)))


def controlled(chances: Sequence[float], times: Sequence[int] | None = None) -> list[float]:
    """Each test's chance, adjusted for there being many (Benjamini & Hochberg 1995).

    Those at or below 0.05 hold, on average, no more than one in twenty that is chance alone. `times` says how
    many tests each of them stands for.

    >>> controlled([0.01, 0.04, 0.03])
    [0.03, 0.04, 0.04]
    """
    number = [1] * len(chances) if times is None else list(times)
    tests, seen, lowest = sum(number), sum(number), 1.0
    adjusted = [1.0] * len(chances)
    for at in sorted(range(len(chances)), key=lambda i: -chances[i]):
        lowest = min(lowest, chances[at] * tests / seen)
        adjusted[at] = lowest
        seen -= number[at]
    return adjusted
