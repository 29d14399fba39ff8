"""Intervals over cases that may count unequally, against scipy's bootstrap and scikit-learn's scores."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from sklearn import metrics

from diagnose.reasoning import intervals, scores
from diagnose.reasoning.intervals import effective_number, mean_with_interval, rate_with_interval


def of_library(values, weights=None, resamples=9999, seed=4):
    """scipy.stats.bootstrap(method="BCa") of the (weighted) mean; values and weights are drawn as pairs."""

    def mean(values, weights, axis=-1):
        return (values * weights).sum(axis=axis) / weights.sum(axis=axis)

    counts = np.ones(len(values)) if weights is None else weights
    return stats.bootstrap(
        (values, counts),
        mean,
        paired=True,
        vectorized=True,
        confidence_level=0.9,
        n_resamples=resamples,
        batch=500,
        method="BCa",
        rng=np.random.default_rng(seed),
    ).confidence_interval


def samples(seed, number):
    """Log losses as they come (skewed), and what each case counts: three endings."""
    rng = np.random.default_rng(seed)
    return rng.exponential(1.0, number), rng.choice([0.3, 0.8, 1.0], number)


@pytest.mark.parametrize("seed", range(4))
def test_weighted_means_have_the_intervals_of_a_library(seed):
    values, weights = samples(seed, 60)
    ours, theirs = mean_with_interval(values, weights=weights), of_library(values, weights)
    near = 0.04 * (theirs.high - theirs.low)
    assert ours.value == pytest.approx(np.average(values, weights=weights), rel=1e-12)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=near)


@pytest.mark.parametrize("weighted", [False, True])
@pytest.mark.parametrize("number", [intervals.MANY, 1500])
def test_with_many_cases_the_interval_is_that_of_a_library_without_a_draw(number, weighted, monkeypatch):
    values, weights = samples(7, number)
    counts = weights if weighted else None
    theirs = of_library(values, counts, 6000)
    monkeypatch.setattr(intervals, "_resampled_means", None)
    ours = mean_with_interval(values, weights=counts)
    near = 0.04 * (theirs.high - theirs.low)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=near)
    # A normal interval would lie even; this one leans as a skewed mean does.
    assert ours.high - ours.value > ours.value - ours.low


def test_the_first_moments_tell_how_a_skewed_mean_leans():
    """A mean of skewness 0.2: without its third moment both ends would be off by a hundredth of the width."""
    values = np.random.default_rng(24).lognormal(0.0, 1.2, intervals.MANY)
    skewness = stats.skew(values) / len(values) ** 0.5
    assert 0.15 < skewness < intervals.SKEWED
    theirs, ours = of_library(values, resamples=40_000), mean_with_interval(values)
    near = 0.007 * (theirs.high - theirs.low)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=near)


def test_a_mean_that_hangs_on_one_case_is_drawn_however_many_there_are():
    values = np.ones(600)
    values[0] = 500.0
    theirs = of_library(values)
    ours = mean_with_interval(values)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=0.9)
    assert ours.low >= 1.0


@given(st.lists(st.sampled_from([0.0, 1.0]), min_size=1, max_size=40), st.floats(0.01, 100))
def test_equal_weights_are_no_weights(right, weight):
    values = np.array(right)
    plain, weighted = rate_with_interval(values), rate_with_interval(values, np.full(len(values), weight))
    for name in ("value", "low", "high", "cases"):
        assert getattr(weighted, name) == pytest.approx(getattr(plain, name), abs=1e-12)
    plain, weighted = (
        mean_with_interval(values, 99, weights=counts) for counts in (None, np.full(len(values), weight))
    )
    assert (weighted.low, weighted.high) == pytest.approx((plain.low, plain.high), nan_ok=True, abs=1e-9)


@given(st.integers(1, 60), st.data())
def test_the_interval_of_a_rate_is_that_of_a_library(number, data):
    """scipy.stats.binomtest(...).proportion_ci(method="wilson")."""
    right = data.draw(st.integers(0, number))
    theirs = stats.binomtest(right, number).proportion_ci(0.9, method="wilson")
    ours = rate_with_interval(np.array([1.0] * right + [0.0] * (number - right)))
    assert (ours.value, ours.cases) == (right / number, number)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


def test_cases_that_count_half_widen_the_interval_as_fewer_cases_would():
    """Kish 1965, from memory: (1 + 1 + 1/2 + 1/2)^2 / (1 + 1 + 1/4 + 1/4) = 3.6 cases."""
    weights = np.array([1.0, 1.0, 0.5, 0.5])
    assert effective_number(4, weights) == pytest.approx(3.6)
    ours = rate_with_interval(np.array([1.0, 0.0, 1.0, 0.0]), weights)
    z = stats.norm.ppf(0.95)
    half = z / (1 + z**2 / 3.6) * (0.25 / 3.6 + z**2 / (4 * 3.6**2)) ** 0.5
    assert (ours.value, ours.low, ours.high) == pytest.approx((0.5, 0.5 - half, 0.5 + half))


def test_no_case_has_no_rate():
    nothing = rate_with_interval(np.zeros(0))
    assert nothing.cases == 0
    assert np.isnan([nothing.value, nothing.low, nothing.high]).all()


def test_weighted_scores_are_those_of_a_library():
    """scikit-learn: log_loss, brier_score_loss (of each class, added), top_k_accuracy_score, all weighted."""
    rng = np.random.default_rng(3)
    shares = rng.dirichlet(np.full(5, 0.7), 200)
    truths = (rng.random(200)[:, None] > shares.cumsum(axis=1)[:, :-1]).sum(axis=1)
    weights, labels = rng.choice([0.2, 1.0], 200), list(range(5))
    said = scores.Predicted(shares, truths)
    log_loss = mean_with_interval(scores.log_losses(said), 9, weights=weights).value
    assert log_loss == pytest.approx(metrics.log_loss(truths, shares, labels=labels, sample_weight=weights))
    by_class = [
        metrics.brier_score_loss(truths == each, shares[:, each], sample_weight=weights) for each in labels
    ]
    assert mean_with_interval(scores.brier_scores(said), 9, weights=weights).value == pytest.approx(
        sum(by_class)
    )
    for first in (1, 3):
        theirs = metrics.top_k_accuracy_score(truths, shares, k=first, labels=labels, sample_weight=weights)
        assert rate_with_interval(scores.hits(said, first), weights).value == pytest.approx(theirs)


def test_bins_of_unequal_cases_have_weighted_means():
    """Against numpy's average over the same equal-count bins (which scikit-learn cannot weigh)."""
    rng = np.random.default_rng(5)
    leading, weights = rng.random(100), rng.choice([0.25, 1.0], 100)
    right = (rng.random(100) < leading).astype(float)
    order = np.argsort(leading)
    for number, each in enumerate(scores.calibration_of(leading, right, weights)):
        which = order[10 * number : 10 * number + 10]
        assert each.cases == 10
        assert each.said == pytest.approx(np.average(leading[which], weights=weights[which]))
        assert each.hit == pytest.approx(np.average(right[which], weights=weights[which]))
        assert each.low < each.hit + 1e-12
        assert each.high > each.hit - 1e-12
    assert scores.calibration_of(leading[:49], right[:49], weights[:49]) == ()


def test_values_that_differ_by_rounding_alone_are_one_value():
    values = np.full(7, 0.1) + np.array([0, 1e-17, 0, 3e-17, 0, 0, 1.4e-17])
    score = mean_with_interval(values)
    assert (score.low, score.high) == (score.value, score.value) == (pytest.approx(0.1), pytest.approx(0.1))
