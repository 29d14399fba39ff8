"""What changes with a score or with the time of the year: logistic regression. Plain arithmetic.

    changes with a score   logistic regression on it; interval by profile likelihood, test by likelihood ratio
    time of the year       the same on the first harmonic, cos and sin (Stolwijk, Straatman & Zielhuis 1999)

All sources from memory; the tests hold each against statsmodels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import erfc, exp, inf, log, log1p, pi, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.inference import Interval
from diagnose.reasoning.intervals import LEVEL

Array = NDArray[np.float64]

_STEEPEST = 12.0
"""A slope beyond this, a factor of 160,000 for one step, is told as without end."""


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


def _deviate(level: float) -> float:
    return NormalDist().inv_cdf(0.5 + level / 2)


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
