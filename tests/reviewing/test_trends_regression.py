"""Logistic regressions beside those of statsmodels."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
from numpy.testing import assert_allclose

from diagnose.reviewing import trends_regression as ours

SEED = 1995


def regression(hits, of, design, offset=None):
    """The same regression by statsmodels."""
    import statsmodels.api  # slow, and needed by one process of a run alone

    hits, of = np.array(hits), np.array(of)
    return statsmodels.api.GLM(
        np.column_stack([hits, of - hits]),
        design,
        family=statsmodels.api.families.Binomial(),
        offset=offset,
    ).fit()


def some_years(rng):
    years = int(rng.integers(3, 12))
    of = rng.integers(5, 400, years)
    return rng.binomial(of, rng.uniform(0.03, 0.5)), of, np.arange(years) + 2015


@pytest.mark.parametrize("seed", range(8))
def test_a_change_is_the_logistic_regression_of_statsmodels(seed):
    hits, of, years = some_years(np.random.default_rng(seed))
    found = ours.change(hits.tolist(), of.tolist(), years.tolist())
    score = years - years.mean()
    theirs = regression(hits, of, np.column_stack([np.ones(len(score)), score]))
    assert_allclose(found.factor.value, np.exp(theirs.params[1]), rtol=1e-6)
    assert_allclose(
        found.chance, scipy.stats.chi2.sf(theirs.null_deviance - theirs.deviance, 1), rtol=1e-4, atol=1e-12
    )
    assert_allclose((found.first, found.last), theirs.fittedvalues[[0, -1]], rtol=1e-5)
    # At the ends of a profile likelihood interval the deviance has risen by a quantile of chi-square.
    for end in (found.factor.low, found.factor.high):
        held = regression(hits, of, np.ones((len(of), 1)), offset=score * np.log(end))
        assert_allclose(held.deviance - theirs.deviance, scipy.stats.chi2.ppf(0.9, 1), rtol=1e-3)


@pytest.mark.parametrize("seed", range(8))
def test_another_time_of_the_year_is_the_harmonic_regression_of_statsmodels(seed):
    rng = np.random.default_rng(seed)
    of = rng.integers(20, 200, 12)
    angle = 2 * np.pi * np.arange(12) / 12
    hits = rng.binomial(of, 0.2 + 0.1 * np.cos(angle - rng.uniform(0, 6)))
    chance, peak = ours.other_time_of_year(hits.tolist(), of.tolist())
    theirs = regression(hits, of, np.column_stack([np.ones(12), np.cos(angle), np.sin(angle)]))
    assert_allclose(chance, scipy.stats.chi2.sf(theirs.null_deviance - theirs.deviance, 2), rtol=1e-4)
    assert_allclose(peak, np.arctan2(theirs.params[2], theirs.params[1]) / (2 * np.pi) * 12 % 12, rtol=1e-4)


def test_what_came_only_in_the_last_year_rises_without_end():
    found = ours.change([0, 0, 0, 12], [50, 50, 50, 50], [0, 1, 2, 3])
    assert found.factor.value == math.inf
    assert found.factor.high == math.inf
    assert found.factor.low > 2
    assert found.chance < 1e-6


def test_what_came_only_in_the_first_year_falls_without_end():
    found = ours.change([12, 0, 0, 0], [50, 50, 50, 50], [0, 1, 2, 3])
    assert (found.factor.value, found.factor.low) == (0.0, 0.0)
    assert found.factor.high < 0.5


def test_what_stays_even_has_no_change_and_years_without_cases_do_not_matter():
    even = ours.change([5, 10, 20], [50, 100, 200], [0, 1, 2])
    assert_allclose(even.factor.value, 1)
    assert_allclose(even.chance, 1)
    gap = ours.change([5, 0, 10, 20], [50, 0, 100, 200], [0, 7, 1, 2])
    assert_allclose((gap.factor.low, gap.factor.high), (even.factor.low, even.factor.high), rtol=1e-6)


def test_one_in_twenty_of_even_causes_is_under_a_chance_of_one_in_twenty():
    # The law of any test: under chance alone its chances are spread evenly.
    rng = np.random.default_rng(SEED)
    chances, seasons = [], []
    for _ in range(400):
        of = rng.integers(40, 120, 12)
        hits = rng.binomial(of, 0.15)
        chances.append(ours.change(hits.tolist(), of.tolist(), range(12)).chance)
        seasons.append(ours.other_time_of_year(hits.tolist(), of.tolist())[0])
    for found in (chances, seasons):
        assert scipy.stats.kstest(found, "uniform").pvalue > 0.01
        assert 0.02 < np.mean(np.array(found) < 0.05) < 0.09
