"""Intervals and tests beside those of scipy and statsmodels."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from diagnose.reasoning import inference as ours

# Shares and counts ----------------------------------------------------------------------------------------


@given(st.integers(0, 300), st.integers(1, 300))
def test_a_share_has_wilsons_interval(hits, of):
    from statsmodels.stats.proportion import proportion_confint

    assume(hits <= of)
    found = ours.share(hits, of)
    assert found.value == hits / of
    assert_allclose((found.low, found.high), proportion_confint(hits, of, 0.1, "wilson"), atol=1e-12)


def test_nothing_of_nothing_may_be_any_share():
    found = ours.share(0, 0)
    assert math.isnan(found.value)
    assert (found.low, found.high) == (0.0, 1.0)


@pytest.mark.parametrize("number", [0, 1, 2, 5, 10, 57, 100, 1_000, 250_000, 1_000_000])
def test_a_count_has_exact_poisson_limits(number):
    # Garwood 1936: half the quantiles of chi-square with 2k and 2k + 2 degrees of freedom.
    low = scipy.stats.chi2.ppf(0.05, 2 * number) / 2 if number else 0.0
    high = scipy.stats.chi2.ppf(0.95, 2 * number + 2) / 2
    found = ours.count(number)
    assert_allclose((found.low, found.high), (low, high), rtol=1e-9)


def test_ten_events_have_the_printed_limits():
    # 95 % limits of ten events in tables of Poisson limits: 4.80 and 18.39 (Pearson & Hartley, from memory).
    found = ours.count(10, 0.95)
    assert (round(found.low, 2), round(found.high, 2)) == (4.80, 18.39)


@given(st.floats(0.05, 3_000), st.floats(0.001, 4_000))
def test_the_incomplete_gamma_function_is_that_of_scipy(shape, x):
    assert_allclose(ours.gamma_share(shape, x), scipy.stats.gamma.cdf(x, shape), rtol=1e-9, atol=1e-14)


# What is above the others ---------------------------------------------------------------------------------


@given(st.integers(2, 3_000), st.data())
def test_more_than_the_others_is_fishers_exact_test(all_of, data):
    all_hits, of = data.draw(st.integers(0, all_of)), data.draw(st.integers(1, all_of))
    hits = data.draw(st.integers(max(0, of + all_hits - all_of), min(of, all_hits)))
    expected = scipy.stats.hypergeom.sf(hits - 1, all_of, all_hits, of)
    assert_allclose(ours.above_the_others(hits, of, all_hits, all_of), expected, rtol=1e-6, atol=1e-250)


@pytest.mark.parametrize("hits", [1, 500, 4_900, 5_000, 5_200, 6_000])
def test_among_a_million_no_tail_is_lost(hits):
    expected = scipy.stats.hypergeom.sf(hits - 1, 1_000_000, 250_000, 20_000)
    assert_allclose(ours.above_the_others(hits, 20_000, 250_000, 1_000_000), expected, rtol=1e-5, atol=1e-200)


def test_fishers_tea_gives_the_printed_chance():
    # Fisher, The Design of Experiments 1935: all eight cups told rightly, 1 in 70 (from memory).
    assert_allclose(ours.above_the_others(4, 4, 4, 8), 1 / 70)


@pytest.mark.parametrize("mean", [1.01, 1.3, 2.0, 7.5, 40.0])
def test_cases_of_a_vehicle_follow_a_poisson_law_without_noughts(mean):
    rate = ours.rate_of_vehicles(mean)
    law = scipy.stats.poisson(rate)
    assert_allclose(rate / law.sf(0), mean)
    for number in (2, 5, 30):
        assert_allclose(ours.many_of_one(number, mean), law.sf(number - 1) / law.sf(0), rtol=1e-8)


def test_where_every_vehicle_has_one_case_none_is_unusual():
    assert ours.many_of_one(1, 1.0) == 1.0
    assert ours.many_of_one(2, 1.0) == 1.0


# Many tests at once ---------------------------------------------------------------------------------------


@given(st.lists(st.floats(0, 1), min_size=1, max_size=60))
def test_many_chances_are_adjusted_as_scipy_does(chances):
    assert_allclose(ours.controlled(chances), scipy.stats.false_discovery_control(chances, method="bh"))


@given(st.lists(st.tuples(st.floats(0, 1), st.integers(1, 20)), min_size=1, max_size=20))
def test_a_test_that_stands_for_many_counts_as_many(tests):
    chances, times = zip(*tests, strict=True)
    apart = scipy.stats.false_discovery_control(np.repeat(chances, times), method="bh")
    assert_allclose(np.repeat(ours.controlled(chances, times), times), apart)


def test_of_no_tests_none_is_adjusted():
    assert ours.controlled([]) == []
