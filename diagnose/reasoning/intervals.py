"""A mean or a rate over cases, with the interval that says how sure it is; cases may count unequally.

    mean of a figure     bias-corrected and accelerated bootstrap over cases (BCa, Efron 1987)
    rate of hits         Wilson 1927; where cases count unequally, with Kish's effective number of cases
                         (the square of the sum of weights over the sum of their squares, Kish 1965)

With many cases the bootstrap is not drawn: the distribution of a resampled mean is then known from its first
three moments (Cornish & Fisher 1938), and so are the two corrections, both a sixth of its skewness. All
sources from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEVEL = 0.90
RESAMPLES = 9999
SEED = 61025
EQUAL = 1e-12
"""Values that differ by no more than this, against their size, are taken as one."""
MANY = 500
"""From so many cases on a resampled mean's distribution is reckoned, not drawn."""
SKEWED = 0.3
"""A resampled mean that is more skewed than this is drawn all the same: the series would be too short."""
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Score:
    """A figure over so many cases with the ends of its 90 % interval; NaN where there are too few."""

    value: float
    low: float
    high: float
    cases: int


def mean_with_interval(
    values: Array,
    resamples: int = RESAMPLES,
    level: float = LEVEL,
    seed: int = SEED,
    weights: Array | None = None,
) -> Score:
    """The mean of one figure per case with its BCa bootstrap interval (Efron 1987); seeded.

    With weights (each above zero) the weighted mean: cases are resampled together with what they count.
    Below two cases there is no interval; where all cases have the same value it is that value.
    """
    number = len(values)
    if number == 0:
        return Score(np.nan, np.nan, np.nan, 0)
    equal = weights is None or bool(np.all(weights == weights[0]))
    counts = np.ones(number) if weights is None or equal else weights
    mean = float(np.mean(values) if equal else np.average(values, weights=counts))
    if number == 1:
        return Score(mean, np.nan, np.nan, 1)
    # What differs by rounding alone is equal: a jackknife of rounding errors has no skewness to speak of.
    if float(np.ptp(values)) <= EQUAL * max(1.0, abs(mean)):
        return Score(mean, mean, mean, number)
    # How far one case moves the mean, up to a factor that cancels: what a skewness is taken of.
    pulls = counts * (values - mean)
    spread = float((pulls**2).sum())
    skewness = float((pulls**3).sum()) / spread**1.5
    if number >= MANY and abs(skewness) < SKEWED:
        low, high = (
            mean + spread**0.5 / float(counts.sum()) * (z + skewness / 6 * (z**2 - 1))
            for z in _corrected(skewness / 6, skewness / 6, level)
        )
        return Score(mean, low, high, number)
    means = _resampled_means(values, counts, resamples, np.random.default_rng(seed))
    ends = [_NORMAL.cdf(z) for z in _corrected(_bias(mean, means), _acceleration(values, counts), level)]
    low, high = np.quantile(means, ends)
    return Score(mean, float(low), float(high), number)


def rate_with_interval(right: Array, weights: Array | None = None, level: float = LEVEL) -> Score:
    """How often something was so, from zeros and ones, with Wilson's interval; NaN for no cases."""
    number = len(right)
    if number == 0:
        return Score(np.nan, np.nan, np.nan, 0)
    rate = float(np.average(right, weights=weights))
    return Score(rate, *wilson_ends(rate, effective_number(number, weights), level), number)


def effective_number(number: int, weights: Array | None = None) -> float:
    """How many cases of equal weight are worth as much as these (Kish 1965).

    >>> effective_number(4, np.array([1.0, 1.0, 0.5, 0.5]))
    3.6
    """
    if weights is None:
        return float(number)
    return float(weights.sum() ** 2 / (weights**2).sum())


def wilson(right: Array, level: float = LEVEL) -> tuple[float, float]:
    """The interval of a hit rate from zeros and ones (Wilson 1927).

    >>> [round(end, 4) for end in wilson(np.array([1.0] * 8 + [0.0] * 2), 0.95)]
    [0.4902, 0.9433]
    """
    return wilson_ends(float(np.mean(right)), len(right), level)


def wilson_ends(rate: float, number: float, level: float = LEVEL) -> tuple[float, float]:
    """The interval of a rate that was found in so many cases (Wilson 1927)."""
    z = _NORMAL.inv_cdf(0.5 + level / 2)
    middle = (rate + z**2 / (2 * number)) / (1 + z**2 / number)
    half = z / (1 + z**2 / number) * (rate * (1 - rate) / number + z**2 / (4 * number**2)) ** 0.5
    return max(0.0, middle - half), min(1.0, middle + half)


def _resampled_means(values: Array, counts: Array, resamples: int, rng: np.random.Generator) -> Array:
    """Means of samples drawn with replacement, some at a time to keep memory small."""
    number = len(values)
    at_once = max(1, 2_000_000 // number)
    equal, products = bool(np.all(counts == 1)), counts * values
    parts = []
    for done in range(0, resamples, at_once):
        drawn = rng.integers(0, number, (min(at_once, resamples - done), number))
        means = (
            values[drawn].mean(axis=1) if equal else products[drawn].sum(axis=1) / counts[drawn].sum(axis=1)
        )
        parts.append(means)
    return np.concatenate(parts)


def _bias(mean: float, means: Array) -> float:
    """How far the mean lies from the median of the resampled means, in normal deviates."""
    below = (np.count_nonzero(means < mean) + np.count_nonzero(means <= mean)) / (2 * len(means))
    return _NORMAL.inv_cdf(min(max(below, 0.5 / len(means)), 1 - 0.5 / len(means)))


def _acceleration(values: Array, counts: Array) -> float:
    """A sixth of the skewness of the jackknife means: sum d^3 / (6 (sum d^2)^(3/2)), d from their mean."""
    total, weight = float((counts * values).sum()), float(counts.sum())
    without = (total - counts * values) / (weight - counts)
    distances = without.mean() - without
    return float((distances**3).sum() / (6 * (distances**2).sum() ** 1.5))


def _corrected(bias: float, acceleration: float, level: float) -> tuple[float, float]:
    """Normal deviates of the resampled means' quantiles that are the interval's ends."""

    def deviate(z: float) -> float:
        return bias + (bias + z) / (1 - acceleration * (bias + z))

    z = _NORMAL.inv_cdf(0.5 + level / 2)
    return deviate(-z), deviate(z)
