"""How good the ranking has been on real cases: scores, each with an interval that says how sure it is.

What is scored was said before the case was learned from (see `foretelling`): a score over cases that were
already counted would flatter itself.

Sources, all from memory: log loss, Good 1952; Brier score, Brier 1950; those of intervals: `intervals`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.intervals import (
    LEVEL,
    RESAMPLES,
    Score,
    mean_with_interval,
    rate_with_interval,
)

Array = NDArray[np.float64]

FEWEST_FOR_CALIBRATION = 50
"""Below this many cases a calibration curve would be noise, and none is given."""
SMALLEST_SHOWN = 1e-12
"""A share below this counts as this much in a log loss: one case must not make all of it infinite."""


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
    return calibration_of(predicted.shares.max(axis=1), hits(predicted, 1), None, bins, level)


def calibration_of(
    leading: Array, right: Array, weights: Array | None = None, bins: int = 10, level: float = LEVEL
) -> tuple[Bin, ...]:
    """The same from leading shares, and 1 where the leading cause was the one; cases may count unequally."""
    if len(leading) < FEWEST_FOR_CALIBRATION:
        return ()
    order = np.argsort(leading, kind="stable")
    return tuple(_bin(leading, right, weights, each, level) for each in np.array_split(order, bins))


def _bin(leading: Array, right: Array, weights: Array | None, which: NDArray[np.intp], level: float) -> Bin:
    counts = None if weights is None else weights[which]
    hit = rate_with_interval(right[which], counts, level)
    return Bin(len(which), float(np.average(leading[which], weights=counts)), hit.value, hit.low, hit.high)


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
