"""Intervals of counts and shares, and tests of what looks unusual. Plain arithmetic, no case is known here.

    share k of n           Wilson 1927
    count k                exact Poisson limits, Garwood 1936
    changes with a score   logistic regression on it; interval by profile likelihood, test by likelihood ratio
    time of the year       the same on the first harmonic, cos and sin (Stolwijk, Straatman & Zielhuis 1999)
    above the others       Fisher's exact test, one-sided (hypergeometric tail)
    many of one vehicle    Poisson cut off below one: a vehicle without a case is not known at all
    many tests at once     Benjamini & Hochberg 1995

The incomplete gamma function behind the second and the sixth: its series and continued fraction (Abramowitz &
Stegun 6.5.29 and 6.5.31). All sources from memory; the tests hold each against scipy or statsmodels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import erfc, exp, inf, lgamma, log, log1p, nan, pi, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.intervals import LEVEL, wilson_ends

Array = NDArray[np.float64]

_STEEPEST = 12.0
"""A slope beyond this, a factor of 160,000 for one step, is told as without end."""


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


def _deviate(level: float) -> float:
    return NormalDist().inv_cdf(0.5 + level / 2)


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


# What changes with a score --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Change:
    """How the odds of one thing change with a score: the factor for each step, its 90 % interval, the chance.

    `first` and `last` are the fitted shares at the lowest and the highest score that has cases.
    """

    factor: Interval
    chance: float
    first: float
    last: float


def change(hits: Sequence[int], of: Sequence[int], score: Sequence[float], level: float = LEVEL) -> Change:
    """Whether `hits` of `of` become more or fewer with the score: a straight line through the log odds.

    An end of the interval is 0 or infinite where nothing bounds it. Needs two scores with cases, and hits and
    misses among them.
    """
    k, n, x = (np.array([float(v) for v, m in zip(each, of, strict=True) if m]) for each in (hits, of, score))
    middle = float((x * n).sum() / n.sum())
    fitted, best = _fit(k, n, np.column_stack([np.ones_like(x), x - middle]))
    slope = float(fitted[1])
    even = _log_likelihood(k, n, np.full_like(x, _log_odds(k.sum() / n.sum())))
    chance = erfc(sqrt(max(0.0, best - even)))

    def short_of_best(slope: float) -> float:
        return 2 * (best - _best_at(k, n, (x - middle) * slope)) - _deviate(level) ** 2

    slopes = (slope, *(_end(short_of_best, slope, side) for side in (-1, 1)))
    eta = fitted[0] + slope * (np.array([x.min(), x.max()]) - middle)
    first, last = (float(each) for each in _probability(eta))
    return Change(Interval(*map(_factor, slopes)), chance, first, last)


def other_time_of_year(hits: Sequence[int], of: Sequence[int]) -> tuple[float, float]:
    """Whether twelve months' `hits` of `of` have a season of their own: (chance, month in which they peak).

    The month is a number from 0 (the middle of January) up to 12. One peak a year is looked for; a cause with
    two of them half a year apart would be missed.
    """
    k, n, angle = (
        np.array([float(v) for v, m in zip(each, of, strict=True) if m])
        for each in (hits, of, [2 * pi * month / 12 for month in range(12)])
    )
    fitted, best = _fit(k, n, np.column_stack([np.ones_like(angle), np.cos(angle), np.sin(angle)]))
    even = _log_likelihood(k, n, np.full_like(angle, _log_odds(k.sum() / n.sum())))
    peak = float(np.arctan2(fitted[2], fitted[1])) * 12 / (2 * pi) % 12
    return exp(-max(0.0, best - even)), peak


def _fit(k: Array, n: Array, design: Array) -> tuple[Array, float]:
    """Coefficients of a binomial logistic regression by Newton's steps, and its log-likelihood.

    A step that makes it worse is halved. Where the likelihood has no highest point (all hits at one end) the
    steps stop once they gain nothing.
    """
    at = np.zeros(design.shape[1])
    at[0] = _log_odds(k.sum() / n.sum())
    reached = _log_likelihood(k, n, design @ at)
    for _ in range(60):
        p = _probability(design @ at)
        hessian = design.T @ (design * (n * p * (1 - p))[:, None])
        step = np.linalg.lstsq(hessian, design.T @ (k - n * p), rcond=None)[0]
        for _ in range(30):
            gained = _log_likelihood(k, n, design @ (at + step)) - reached
            if gained >= 0:
                break
            step = step / 2
        else:
            break
        at, reached = at + step, reached + gained
        if gained < 1e-12 * (1 + abs(reached)):
            break
    return at, reached


def _best_at(k: Array, n: Array, offset: Array) -> float:
    """The highest log-likelihood over a common addition to the log odds: its slope is a falling function."""
    wanted, low, high = k.sum(), -60.0 - offset.max(), 60.0 - offset.min()
    at = min(max(_log_odds(wanted / n.sum()), low), high)
    for _ in range(200):
        p = _probability(offset + at)
        excess = float((n * p).sum() - wanted)
        low, high = (low, at) if excess > 0 else (at, high)
        step = excess / max(float((n * p * (1 - p)).sum()), 1e-300)
        if abs(step) < 1e-10:
            break
        at = at - step if low < at - step < high else (low + high) / 2
    return _log_likelihood(k, n, offset + at)


def _end(excess: Callable[[float], float], start: float, side: int) -> float:
    """Where a function that rises from below nought at `start` comes to nought, to that side."""
    inside, step = start, 0.05
    while side * inside < _STEEPEST and excess(start + side * step) < 0:
        inside = start + side * step
        step *= 2
    if side * inside >= _STEEPEST:
        return side * inf
    return _nought(excess, inside, start + side * step)


def _nought(excess: Callable[[float], float], inside: float, outside: float) -> float:
    """Where a continuous function is nought between two places: regula falsi, the Illinois way."""
    below, above = excess(inside), excess(outside)
    at, moved = inside, 0
    for _ in range(100):
        at = outside - above * (outside - inside) / (above - below)
        here = excess(at)
        if abs(here) < 1e-9 or abs(outside - inside) < 1e-9:
            break
        # The end that stays for a second time weighs half, or it would hardly ever move.
        if here < 0:
            inside, below, above = at, here, above / 2 if moved < 0 else above
        else:
            outside, above, below = at, here, below / 2 if moved > 0 else below
        moved = -1 if here < 0 else 1
    return at


def _factor(slope: float) -> float:
    if abs(slope) < _STEEPEST:
        return exp(slope)
    return inf if slope > 0 else 0.0


def _log_odds(p: float) -> float:
    return log(p) - log1p(-p)


def _probability(eta: Array) -> Array:
    return np.asarray(1 / (1 + np.exp(-np.clip(eta, -700, 700))))


def _log_likelihood(k: Array, n: Array, eta: Array) -> float:
    """Without the binomial coefficients, which no parameter touches."""
    return float(-(k * np.logaddexp(0, -eta) + (n - k) * np.logaddexp(0, eta)).sum())
