"""Paired comparison against scipy.stats, and on the worked differences 5 5 -3 10 5 0 9 1 (own, by hand)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from diagnose.reasoning.intervals import mean_with_interval
from diagnose.revising.paired import paired, sign_test, signed_rank

WORKED = np.array([5.0, 5.0, -3.0, 10.0, 5.0, 0.0, 9.0, 1.0])


def test_the_worked_differences():
    """The interval is that of scipy.stats.bootstrap (BCa, default_rng(1)); the tests those of scipy.stats."""
    score = mean_with_interval(WORKED)
    assert (score.value, WORKED.std(ddof=1)) == pytest.approx((4.0, 4.4401), abs=5e-5)
    theirs = stats.bootstrap((WORKED,), np.mean, confidence_level=0.9, rng=np.random.default_rng(1))
    assert (score.low, score.high) == tuple(theirs.confidence_interval) == (1.5, 6.25)
    assert signed_rank(WORKED) == pytest.approx(0.0469, abs=5e-5)
    assert stats.ttest_1samp(WORKED, 0).pvalue == pytest.approx(0.0382, abs=5e-5)


@pytest.mark.parametrize("seed", range(12))
def test_the_signed_rank_is_that_of_all_ways_of_the_signs(seed):
    """scipy.stats.wilcoxon, zsplit, every permutation of the signs counted out, with ties and noughts."""
    rng = np.random.default_rng(seed)
    values = rng.integers(-4, 6, int(rng.integers(3, 9))).astype(float)
    exact = stats.PermutationMethod(n_resamples=np.inf)
    theirs = stats.wilcoxon(values, zero_method="zsplit", method=exact)
    assert signed_rank(values) == pytest.approx(theirs.pvalue, abs=1e-12)


@pytest.mark.parametrize("number", [41, 300])
def test_with_many_cases_it_is_the_normal_one(number):
    """scipy.stats.wilcoxon, asymptotic, with ties."""
    values = np.random.default_rng(number).normal(0.2, 1, number).round(1)
    values = values[values != 0]
    wide = np.concatenate([values, values, values])
    theirs = stats.wilcoxon(wide, method="asymptotic").pvalue
    assert signed_rank(wide) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize(("up", "down"), [(0, 0), (6, 1), (1, 6), (31, 4), (5, 5), (40_000, 39_000)])
def test_the_sign_test_is_the_binomial_one(up, down):
    """scipy.stats.binomtest at one half."""
    theirs = stats.binomtest(up, up + down).pvalue if up + down else 1.0
    assert sign_test(up, down) == pytest.approx(theirs, rel=1e-9)


def test_without_a_difference_all_is_chance():
    assert signed_rank(np.zeros(4)) == signed_rank(np.zeros(0)) == 1.0


def test_what_is_clear_is_counted_and_the_rest_is_alike():
    found = paired(WORKED, np.zeros(8), clear=2.0)
    assert (found.better, found.worse, found.alike, found.differing) == (5, 1, 2, 7)
    assert (found.old.value, found.new.value, found.gain.value) == (4.0, 0.0, 4.0)


def test_below_ten_differing_cases_only_the_sign_test_speaks():
    few = paired(WORKED, np.zeros(8), clear=1.0)
    assert (few.signed_rank, few.verdict) == (None, "too-few")
    assert few.sign == pytest.approx(0.125)
    sure = paired(np.arange(1.0, 7.0), np.zeros(6), clear=1.0)
    assert (sure.signed_rank, sure.verdict) == (None, "better")
    assert sure.sign == pytest.approx(2 / 64)


def test_verdicts_follow_the_interval():
    rng = np.random.default_rng(3)
    zeros = np.zeros(100)
    assert paired(rng.normal(1, 1, 100), zeros, clear=0.5).verdict == "better"
    assert paired(rng.normal(-1, 1, 100), zeros, clear=0.5).verdict == "worse"
    assert paired(rng.permutation(np.repeat([-1.0, 1.0], 50)), zeros, clear=0.5).verdict == "not-shown"


def test_a_sure_difference_that_is_no_matter_is_alike():
    tiny = paired(np.full(5000, 1e-6), np.zeros(5000), clear=0.1)
    assert (tiny.verdict, tiny.differing, tiny.better) == ("alike", 5000, 0)
    assert paired(np.ones(3), np.ones(3), clear=0.1).verdict == "alike"
