"""The figures of many scored cases: how good the ranking was, and whether learning helped.

Every case counts for those of its ending that were never told, as in the ranking (`reasoning.learning`):
otherwise cures, which report themselves, would drown what engineers found. Within a tree weights are those of
the ranking; from tree to tree they are scaled so that each tree counts for as many cases as were over in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.intervals import (
    RESAMPLES,
    Score,
    effective_number,
    mean_with_interval,
    rate_with_interval,
)
from diagnose.reasoning.scores import Bin, brier_scores, calibration_of, hits, log_losses
from diagnose.reviewing.history import Said

Array = NDArray[np.float64]

Verdict = Literal["helped", "harmed", "not-shown", "too-few"]

FEWEST_DIFFERING = 10
"""Below so many cases of which learning changed the score, nothing is said of whether it helped."""
SAME = 1e-9
"""Log losses that are nearer than this are the same."""
FEWEST_IN_COURSE = 10
"""A running mean begins with so many cases, or with a twentieth of all: before, it only jumps."""
POINTS_OF_COURSE = 200


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """One figure a case in each column."""

    places: NDArray[np.intp]
    """The place of each among all scored cases, in the order of their confirmation."""
    endings: tuple[str, ...]
    log_loss: Array
    log_loss_by_file: Array
    brier: Array
    brier_by_file: Array
    top_1: Array
    top_1_by_file: Array
    top_3: Array
    top_3_by_file: Array
    leading: Array
    """The share of the cause that was in front."""
    expected: Array
    expected_by_file: Array
    walked: Array


def columns_of(said: Said) -> Columns:
    """The figures of each case."""
    return Columns(
        places=said.places,
        endings=said.endings,
        log_loss=log_losses(said.learned),
        log_loss_by_file=log_losses(said.by_file),
        brier=brier_scores(said.learned),
        brier_by_file=brier_scores(said.by_file),
        top_1=hits(said.learned, 1),
        top_1_by_file=hits(said.by_file, 1),
        top_3=hits(said.learned, 3),
        top_3_by_file=hits(said.by_file, 3),
        leading=said.learned.shares.max(axis=1),
        expected=said.expected,
        expected_by_file=said.expected_by_file,
        walked=said.walked,
    )


def joined(parts: Sequence[Columns]) -> Columns:
    """The same columns for all cases together; `parts` are not empty."""
    names = [name for name in Columns.__dataclass_fields__ if name != "endings"]
    return Columns(
        endings=tuple(ending for part in parts for ending in part.endings),
        **{name: np.concatenate([getattr(part, name) for part in parts]) for name in names},
    )


@dataclass(frozen=True, slots=True)
class Side:
    """How good one way of ranking was."""

    log_loss: Score
    brier: Score
    top_1: Score
    """How often the true cause was in front."""
    top_3: Score
    """How often it was among the first three."""


@dataclass(frozen=True, slots=True)
class Learning:
    """Whether past cases made the ranking better, case by case: log loss of the file less that with cases."""

    difference: Score
    """Above nought where learning helped."""
    better: int
    same: int
    worse: int
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Minutes:
    """What walks cost against what was expected of them, over the cases that were walked to an end here."""

    expected: Score
    expected_by_file: Score
    walked: Score
    difference: Score
    """Walked less expected, case by case."""


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures over some cases."""

    cases: int
    effective: float
    """How many cases of equal weight are worth as much (Kish 1965)."""
    learned: Side
    by_file: Side
    learning: Learning
    calibration: tuple[Bin, ...]
    """Of the ranking with past cases; empty below 50 cases."""
    minutes: Minutes | None
    """None where no scored case was walked."""


@dataclass(frozen=True, slots=True)
class Course:
    """The mean log loss of the first so many cases."""

    cases: int
    learned: float
    by_file: float


def figures_of(columns: Columns, weights: Array, resamples: int = RESAMPLES) -> Figures:
    """All figures of at least one case; `weights` say how many cases each stands for."""
    counts = None if np.all(weights == weights[0]) else weights

    def mean(values: Array) -> Score:
        return mean_with_interval(values, resamples, weights=counts)

    def side(log_loss: Array, brier: Array, top_1: Array, top_3: Array) -> Side:
        rates = rate_with_interval(top_1, counts), rate_with_interval(top_3, counts)
        return Side(mean(log_loss), mean(brier), *rates)

    number = len(columns.places)
    gain = columns.log_loss_by_file - columns.log_loss
    return Figures(
        cases=number,
        effective=effective_number(number, counts),
        learned=side(columns.log_loss, columns.brier, columns.top_1, columns.top_3),
        by_file=side(
            columns.log_loss_by_file, columns.brier_by_file, columns.top_1_by_file, columns.top_3_by_file
        ),
        learning=_learning(gain, mean(gain)),
        calibration=calibration_of(columns.leading, columns.top_1, counts),
        minutes=_minutes(columns, counts, resamples),
    )


def _learning(gain: Array, difference: Score) -> Learning:
    better, worse = int((gain > SAME).sum()), int((gain < -SAME).sum())
    verdict: Verdict = "not-shown"
    if better + worse < FEWEST_DIFFERING:
        verdict = "too-few"
    elif difference.low > 0:
        verdict = "helped"
    elif difference.high < 0:
        verdict = "harmed"
    return Learning(difference, better, len(gain) - better - worse, worse, verdict)


def _minutes(columns: Columns, counts: Array | None, resamples: int) -> Minutes | None:
    known = ~np.isnan(columns.walked)
    if not known.any():
        return None
    weights = None if counts is None else counts[known]

    def mean(values: Array) -> Score:
        return mean_with_interval(values[known], resamples, weights=weights)

    return Minutes(
        expected=mean(columns.expected),
        expected_by_file=mean(columns.expected_by_file),
        walked=mean(columns.walked),
        difference=mean(columns.walked - columns.expected),
    )


def course_of(columns: Columns, weights: Array) -> tuple[Course, ...]:
    """The running mean of both log losses in the order of confirmation, at up to 200 places."""
    number = len(columns.places)
    if number < FEWEST_IN_COURSE:
        return ()
    order = np.argsort(columns.places)
    told = weights[order].cumsum()
    learned = (weights * columns.log_loss)[order].cumsum() / told
    by_file = (weights * columns.log_loss_by_file)[order].cumsum() / told
    first = max(FEWEST_IN_COURSE, number // 20)
    at = np.unique(np.linspace(first - 1, number - 1, POINTS_OF_COURSE).round().astype(int))
    return tuple(Course(int(i) + 1, float(learned[i]), float(by_file[i])) for i in at)
