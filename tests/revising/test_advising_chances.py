"""The chances behind the advice of cases, beside scipy and statsmodels."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import betainc
from scipy.stats import beta

from diagnose.revising.advising_chances import agreement, beta_share, controlled

shapes = st.floats(0.5, 5000)


@given(shapes, shapes, st.floats(0, 1))
def test_the_incomplete_beta_function_is_that_of_scipy(a, b, x):
    assert beta_share(a, b, x) == pytest.approx(betainc(a, b, x), abs=1e-9)


@pytest.mark.parametrize(("hits", "of"), [(0, 20), (3, 20), (12.5, 40.25), (900, 1000)])
@pytest.mark.parametrize("level", [0.01, 0.05])
def test_a_share_agrees_up_to_the_ends_of_jeffreys_interval(hits, of, level):
    """Brown, Cai & DasGupta, Statistical Science 2001; the quantiles by scipy."""
    law = beta(hits + 0.5, of - hits + 0.5)
    for end in (law.ppf(level / 2), law.ppf(1 - level / 2)):
        assert agreement(hits, of, end) == pytest.approx(level, rel=1e-6)
    assert agreement(hits, of, law.ppf(level / 2) * 0.99) < level
    assert agreement(hits, of, law.median()) == pytest.approx(1)


def test_no_case_contradicts_nothing():
    assert agreement(0, 0, 0.3) == 1


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_many_chances_are_adjusted_as_by_statsmodels(chances):
    from statsmodels.stats.multitest import multipletests

    """Benjamini & Hochberg, Journal of the Royal Statistical Society B, 1995."""
    assert controlled(chances) == pytest.approx(multipletests(chances, method="fdr_bh")[1].tolist())


def test_none_is_adjusted_to_none():
    assert controlled([]) == []
