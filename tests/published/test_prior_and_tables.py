"""Shares before any finding, and expectations as cases come in.

Sources, from memory: Dirichlet and its Beta marginals, Gelman et al., Bayesian Data Analysis, ch. 2, 3 and 5;
figures worked by a separate plain implementation, intervals by scipy.stats.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import drawn_shares, ranking
from diagnose.terms import Finding, Settings, Situation, Tally

CASES = Tally(causes={"fuse": 3.0, "pump": 1.0})
PRINTED = {
    "fuse": (0.4583, 0.2961, 0.6246),
    "pump": (0.2500, 0.1202, 0.4039),
    "pipe": (0.1667, 0.0617, 0.3036),
    "tank": (0.0833, 0.0157, 0.1902),
    "not-listed": (0.0417, 0.0022, 0.1221),
}
PRINTED_BEFORE = {
    "fuse": (0.4000, 0.2297, 0.5819),
    "pump": (0.2500, 0.1099, 0.4191),
    "pipe": (0.2000, 0.0753, 0.3594),
    "tank": (0.1000, 0.0190, 0.2264),
    "not-listed": (0.0500, 0.0027, 0.1459),
}


def test_cases_are_added_to_the_files_shares(tree):
    assert build_model(tree, tally=CASES).alpha == pytest.approx([11, 6, 4, 2, 1], abs=1e-12)


@pytest.mark.parametrize(("tally", "printed"), [(CASES, PRINTED), (Tally(), PRINTED_BEFORE)])
def test_the_marginal_of_each_share_is_the_beta_of_scipy(tree, tally, printed):
    model = build_model(tree, tally=tally)
    total = model.alpha.sum()
    for cause, alpha in zip(model.ids, model.alpha, strict=True):
        beta = stats.beta(alpha, total - alpha)
        assert (beta.mean(), beta.ppf(0.05), beta.ppf(0.95)) == pytest.approx(printed[cause], abs=6e-5)


@pytest.mark.parametrize(("tally", "printed"), [(CASES, PRINTED), (Tally(), PRINTED_BEFORE)])
def test_drawn_intervals_agree_with_the_beta_to_a_hundredth(tree, tally, printed):
    for line in ranking(build_model(tree, tally=tally), Situation(), draws=20_000):
        mean, low, high = printed[line.cause]
        assert line.share == pytest.approx(mean, abs=6e-5)
        assert (line.low, line.high) == pytest.approx((low, high), abs=0.01)


def test_draws_keep_to_the_dirichlet_where_a_parameter_is_far_below_one(tree):
    model = build_model(tree, tally=Tally(), settings=Settings())
    small = stats.beta(1.0, 19.0)
    drawn = drawn_shares(model, Situation(), 20_000)[:, -1]
    # Kolmogorov-Smirnov: the distance that 20,000 draws exceed once in a million is 0.019.
    assert stats.kstest(drawn, small.cdf).statistic < 0.019


def test_a_branch_lends_a_sibling_what_its_cases_showed(tree):
    answers = {("pump", "volts", "flat"): 1.0, ("pump", "volts", "low"): 2.0, ("pump", "volts", "good"): 9.0}
    model = build_model(tree, tally=Tally(causes={"pump": 12.0}, answers=answers))
    fuse, pump = model.rows["volts"][model.index["fuse"]], model.rows["volts"][model.index["pump"]]
    assert fuse == pytest.approx([0.1644, 0.1132, 0.7223], abs=6e-5)
    assert pump == pytest.approx([0.1023, 0.4318, 0.4659], abs=6e-5)


def test_the_mean_of_the_draws_lies_near_the_share_which_is_the_exact_predictive(tree):
    model = build_model(tree, tally=CASES)
    situation = Situation(findings={"hum": Finding("hum", "no")})
    means = drawn_shares(model, situation, 20_000).mean(axis=0)
    shares = {line.cause: line.share for line in ranking(model, situation)}
    assert means == pytest.approx(np.array([shares[cause] for cause in model.ids]), abs=0.02)
