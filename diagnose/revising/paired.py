"""The same cases under two trees: case by case what got better, and whether that could be chance.

    mean of the differences     with its BCa bootstrap interval (`reasoning.intervals`; Efron 1987)
    signed rank                 Wilcoxon 1945; cases without a difference are ranked with the others and their
                                ranks split between both sides (Pratt 1959 and the manuals of statistics
                                programs, which call it *zsplit*)
    sign test                   how often as many of the cases that differ would go one way by chance

All sources from memory. Below ten differing cases the signed rank is not told: the sign test alone speaks.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, lgamma, log, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.intervals import RESAMPLES, Score, mean_with_interval

Array = NDArray[np.float64]
Verdict = Literal["alike", "better", "worse", "not-shown", "too-few"]

FEWEST_DIFFERING = 10
"""Below so many cases that differ only the sign test is made."""
DIGITS = 9
"""Behind the point; what differs less does so by rounding."""
EXACT_UP_TO = 40
"""Up to so many cases that differ the signed rank's chance is counted out; beyond it is near normal."""
BY_CHANCE = 0.05
NO_MATTER = 0.1
"""A mean that is surely below so many clear differences is no difference."""


@dataclass(frozen=True, slots=True)
class Paired:
    """One figure over the same cases under both trees; a difference above nought is for the new tree."""

    old: Score
    new: Score
    gain: Score
    better: int
    """Cases that got clearly better, clearly worse, and those without a clear difference."""
    worse: int
    alike: int
    differing: int
    """Cases that differ at all, however little."""
    signed_rank: float | None
    """Wilcoxon's two-sided chance; None below ten differing cases."""
    sign: float
    """The two-sided chance of the sign test."""
    verdict: Verdict


def paired(old: Array, new: Array, clear: float, resamples: int = RESAMPLES) -> Paired:
    """Both columns compared case by case (the less, the better); `clear` is what counts as a difference.

    The verdict is *better* or *worse* where the interval of the mean leaves nought out; below ten differing
    cases only where the sign test says so besides. It is *alike* where the whole interval is under a tenth of
    a clear difference: with very many cases the smallest change is sure, and still no matter.
    """
    # Without its last digits: those tell only in which order sums were made.
    old, new = old.round(DIGITS), new.round(DIGITS)
    gain = (old - new).round(DIGITS)
    up, down = int((gain > 0).sum()), int((gain < 0).sum())
    mean = mean_with_interval(gain, resamples)
    sign = sign_test(up, down)
    few = up + down < FEWEST_DIFFERING
    better, worse = int((gain >= clear).sum()), int((gain <= -clear).sum())
    return Paired(
        old=mean_with_interval(old, resamples),
        new=mean_with_interval(new, resamples),
        gain=mean,
        better=better,
        worse=worse,
        alike=len(gain) - better - worse,
        differing=up + down,
        signed_rank=None if few else signed_rank(gain),
        sign=sign,
        verdict=_verdict(mean, sign, few, clear) if up + down else "alike",
    )


def _verdict(mean: Score, sign: float, few: bool, clear: float) -> Verdict:
    if max(abs(mean.low), abs(mean.high)) < NO_MATTER * clear:
        return "alike"
    if few and sign > BY_CHANCE:
        return "too-few"
    if mean.low > 0:
        return "better"
    return "worse" if mean.high < 0 else "not-shown"


def sign_test(up: int, down: int) -> float:
    """The chance that of so many cases that differ at least as many go one way, either way being as likely.

    >>> round(sign_test(6, 1), 4)
    0.125
    """
    number = up + down
    if number == 0:
        return 1.0
    logs = [
        lgamma(number + 1) - lgamma(k + 1) - lgamma(number - k + 1) - number * log(2)
        for k in range(min(up, down) + 1)
    ]
    return min(1.0, 2 * float(np.exp(logs).sum()))


def signed_rank(differences: Array) -> float:
    """Wilcoxon's two-sided chance for differences that would as likely be the other way round; 1 for none.

    Work: sorting; up to forty differing cases every way of the signs is counted, by sums of ranks.
    """
    ranks, signs = _ranks(np.abs(differences)), np.sign(differences)
    turned = ranks[signs != 0]
    if not len(turned):
        return 1.0
    above = float(ranks[signs > 0].sum())
    if len(turned) <= EXACT_UP_TO:
        chances = _sums_of(np.rint(2 * turned).astype(int))
        at = round(2 * above)
        return min(1.0, 2 * float(min(chances[: at + 1].sum(), chances[at:].sum())))
    z = (above - turned.sum() / 2) / sqrt(float((turned**2).sum()) / 4)
    return erfc(abs(z) / sqrt(2))


def _ranks(sizes: Array) -> Array:
    """From 1; those of one size (to rounding) share the mean of their ranks."""
    _, inverse, counts = np.unique(np.round(sizes, 9), return_inverse=True, return_counts=True)
    last = counts.cumsum()
    return np.asarray((last - (counts - 1) / 2)[inverse], dtype=float)


def _sums_of(doubled: NDArray[np.int_]) -> Array:
    """How often each sum comes about where every rank (doubled, so that halves are whole) is in or out."""
    chances = np.zeros(int(doubled.sum()) + 1)
    chances[0] = 1.0
    for rank in doubled:
        moved = np.zeros_like(chances)
        moved[rank:] = chances[: len(chances) - rank]
        chances = (chances + moved) / 2
    return chances
