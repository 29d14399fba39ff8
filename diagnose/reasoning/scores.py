"""How good the ranking has been on real cases: scores, each with an interval that says how sure it is.

What is scored was said before the case was learned from (see `foretelling`): a score over cases that were
already counted would flatter itself. Intervals are bootstrap intervals over cases.

Sources, all from memory: log loss, Good 1952; Brier score, Brier 1950; interval of a hit rate, Wilson 1927;
bias-corrected and accelerated bootstrap (BCa), Efron 1987.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEVEL = 0.90
RESAMPLES = 9999
SEED = 61025
FEWEST_FOR_CALIBRATION = 50
"""Below this many cases a calibration curve would be noise, and none is given."""
SMALLEST_SHOWN = 1e-12
"""A share below this counts as this much in a log loss: one case must not make all of it infinite."""


@dataclass(frozen=True, slots=True)
class Score:
    """A figure over so many cases with the ends of its 90 % interval; NaN where there are too few."""

    value: float
    low: float
    high: float
    cases: int


@dataclass(frozen=True, slots=True)
class Bin:
    """Cases of like confidence: the mean leading share, and how often the leading cause was the one."""

    cases: int
    said: float
    hit: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Scores:
    """All figures of one run over past cases."""

    log_loss: Score
    brier: Score
    top_1: Score
    top_3: Score
    calibration: tuple[Bin, ...]
    """Empty below 50 cases."""
    minutes: Score | None = None
    """Actual minus expected minutes; None where nobody measured."""


@dataclass(frozen=True, slots=True, eq=False)
class Predicted:
    """What was said of each case before it was known, and what it turned out to be."""

    shares: Array
    """Cases by hypotheses; every line sums to one."""
    truths: NDArray[np.intp]
    """The index of the true hypothesis of each case."""


# The figures of each case ---------------------------------------------------------------------------------


def log_losses(predicted: Predicted) -> Array:
    """-ln of the share that the true cause had, for each case."""
    said = predicted.shares[np.arange(len(predicted.truths)), predicted.truths]
    return np.asarray(-np.log(np.maximum(said, SMALLEST_SHOWN)))


def brier_scores(predicted: Predicted) -> Array:
    """The sum over hypotheses of (share - [it was this])^2, from 0 to 2, for each case."""
    happened = np.zeros_like(predicted.shares)
    happened[np.arange(len(predicted.truths)), predicted.truths] = 1.0
    return np.asarray(((predicted.shares - happened) ** 2).sum(axis=1))


def hits(predicted: Predicted, first: int) -> Array:
    """1 where the true cause was among the first so many of the ranking, for each case.

    Of equal shares the earlier in the order of the hypotheses leads, as in the ranking.
    """
    order = np.argsort(-predicted.shares, axis=1, kind="stable")[:, :first]
    return np.asarray((order == predicted.truths[:, None]).any(axis=1), dtype=float)


def calibration(predicted: Predicted, bins: int = 10, level: float = LEVEL) -> tuple[Bin, ...]:
    """The leading share against how often it was right, in bins of equal counts; none below 50 cases."""
    if len(predicted.truths) < FEWEST_FOR_CALIBRATION:
        return ()
    leading, right = predicted.shares.max(axis=1), hits(predicted, 1)
    order = np.argsort(leading, kind="stable")
    return tuple(
        Bin(len(each), float(leading[each].mean()), float(right[each].mean()), *wilson(right[each], level))
        for each in np.array_split(order, bins)
    )


def wilson(right: Array, level: float = LEVEL) -> tuple[float, float]:
    """The interval of a hit rate from zeros and ones (Wilson 1927).

    >>> [round(end, 4) for end in wilson(np.array([1.0] * 8 + [0.0] * 2), 0.95)]
    [0.4902, 0.9433]
    """
    number, rate = len(right), float(np.mean(right))
    z = NormalDist().inv_cdf(0.5 + level / 2)
    middle = (rate + z**2 / (2 * number)) / (1 + z**2 / number)
    half = z / (1 + z**2 / number) * (rate * (1 - rate) / number + z**2 / (4 * number**2)) ** 0.5
    return max(0.0, middle - half), min(1.0, middle + half)


# Means with their intervals -------------------------------------------------------------------------------


def scored(
    predicted: Predicted,
    expected_minutes: Sequence[float] | Array = (),
    actual_minutes: Sequence[float] | Array = (),
    resamples: int = RESAMPLES,
) -> Scores:
    """All figures; minutes are compared where both were given, case by case and in the same order.

    Raises ValueError where expected and actual minutes differ in number.
    """
    expected, actual = np.asarray(expected_minutes, dtype=float), np.asarray(actual_minutes, dtype=float)
    if expected.shape != actual.shape:
        raise ValueError(f"{len(expected)} expected minutes, but {len(actual)} actual ones")
    return Scores(
        log_loss=mean_with_interval(log_losses(predicted), resamples),
        brier=mean_with_interval(brier_scores(predicted), resamples),
        top_1=mean_with_interval(hits(predicted, 1), resamples),
        top_3=mean_with_interval(hits(predicted, 3), resamples),
        calibration=calibration(predicted),
        minutes=mean_with_interval(actual - expected, resamples) if len(actual) else None,
    )


def mean_with_interval(
    values: Array, resamples: int = RESAMPLES, level: float = LEVEL, seed: int = SEED
) -> Score:
    """The mean of one figure per case with its BCa bootstrap interval (Efron 1987); seeded.

    Below two cases there is no interval; where all cases have the same value it is that value.
    """
    number = len(values)
    if number == 0:
        return Score(np.nan, np.nan, np.nan, 0)
    mean = float(np.mean(values))
    if number == 1:
        return Score(mean, np.nan, np.nan, 1)
    if np.all(values == values[0]):
        return Score(mean, mean, mean, number)
    means = _resampled_means(values, resamples, np.random.default_rng(seed))
    low, high = np.quantile(means, _bca_points(values, means, level))
    return Score(mean, float(low), float(high), number)


def _resampled_means(values: Array, resamples: int, rng: np.random.Generator) -> Array:
    """Means of samples drawn with replacement, some at a time to keep memory small."""
    number = len(values)
    at_once = max(1, 2_000_000 // number)
    parts = [
        values[rng.integers(0, number, (min(at_once, resamples - done), number))].mean(axis=1)
        for done in range(0, resamples, at_once)
    ]
    return np.concatenate(parts)


def _bca_points(values: Array, means: Array, level: float) -> tuple[float, float]:
    """Which quantiles of the resampled means are the interval's ends.

    Bias: how far the mean lies from the median of the resampled means. Acceleration: the skewness of the
    jackknife means, sum d^3 / (6 (sum d^2)^(3/2)) with d the distance of each from their mean.
    """
    normal = NormalDist()
    mean = values.mean()
    below = (np.count_nonzero(means < mean) + np.count_nonzero(means <= mean)) / (2 * len(means))
    bias = normal.inv_cdf(min(max(below, 0.5 / len(means)), 1 - 0.5 / len(means)))
    # Leaving case i out moves the mean by (mean - value_i) / (n - 1); the factor cancels.
    distances = values - mean
    acceleration = float((distances**3).sum() / (6 * (distances**2).sum() ** 1.5))

    def point(z: float) -> float:
        return normal.cdf(bias + (bias + z) / (1 - acceleration * (bias + z)))

    z = normal.inv_cdf(0.5 + level / 2)
    return point(-z), point(z)
