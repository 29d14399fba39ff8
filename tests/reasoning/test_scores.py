"""Scores against scikit-learn's metrics, scipy's bootstrap, and figures worked by hand.

The worked rows and figures were computed with a separate plain implementation.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from sklearn import metrics
from sklearn.calibration import calibration_curve

from diagnose.reasoning import scores
from diagnose.reasoning.foretelling import PastCase, foretold
from diagnose.reasoning.intervals import mean_with_interval, wilson
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.scores import Predicted, scored
from diagnose.terms import Finding, Situation
from tests.reasoning.fleets import NOT_SURE, file_model, fleet, tree

WORKED = Predicted(np.array([[0.7, 0.2, 0.1], [0.5, 0.3, 0.2], [0.1, 0.6, 0.3]]), np.array([0, 1, 2]))


def made_up(seed, number=200, size=5):
    """Predictions that are right as often as they say."""
    rng = np.random.default_rng(seed)
    shares = rng.dirichlet(np.full(size, 0.6), number)
    truths = (rng.random(number)[:, None] > shares.cumsum(axis=1)[:, :-1]).sum(axis=1)
    return Predicted(shares, truths)


def test_log_loss_and_brier_score_of_the_worked_rows():
    assert scores.log_losses(WORKED).mean() == pytest.approx(0.921540, abs=5e-7)
    assert scores.brier_scores(WORKED).mean() == pytest.approx(0.593333, abs=5e-7)
    assert scores.hits(WORKED, 1).tolist() == [1, 0, 0]
    assert scores.hits(WORKED, 2).tolist() == [1, 1, 1]


@pytest.mark.parametrize("seed", range(5))
def test_scores_are_those_of_a_library(seed):
    """scikit-learn: log_loss, top_k_accuracy_score, and brier_score_loss of each class, added."""
    predicted = made_up(seed)
    labels = list(range(5))
    truths, shares = predicted.truths, predicted.shares
    figures = scored(predicted, resamples=200)
    assert figures.log_loss.value == pytest.approx(metrics.log_loss(truths, shares, labels=labels), rel=1e-12)
    by_class = [metrics.brier_score_loss(truths == each, shares[:, each]) for each in labels]
    assert figures.brier.value == pytest.approx(sum(by_class), rel=1e-12)
    for score, first in ((figures.top_1, 1), (figures.top_3, 3)):
        wanted = metrics.top_k_accuracy_score(truths, shares, k=first, labels=labels)
        assert score.value == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_calibration_bins_are_those_of_a_library(seed):
    """scikit-learn's calibration_curve with quantile bins; 200 cases fall into tens of twenty."""
    predicted = made_up(seed)
    bins = scores.calibration(predicted)
    right, said = calibration_curve(
        scores.hits(predicted, 1), predicted.shares.max(axis=1), n_bins=10, strategy="quantile"
    )
    assert [each.cases for each in bins] == [20] * 10
    assert [each.said for each in bins] == pytest.approx(said.tolist(), rel=1e-9)
    assert [each.hit for each in bins] == pytest.approx(right.tolist(), rel=1e-9)


def test_no_calibration_below_fifty_cases():
    assert scores.calibration(made_up(1, 49)) == ()
    bins = scores.calibration(made_up(1, 50))
    assert [each.cases for each in bins] == [5] * 10


@given(st.integers(1, 60), st.data())
def test_the_interval_of_a_hit_rate_is_that_of_a_library(number, data):
    """scipy.stats.binomtest(...).proportion_ci(method="wilson")."""
    right = data.draw(st.integers(0, number))
    of_library = stats.binomtest(right, number).proportion_ci(0.9, method="wilson")
    low, high = wilson(np.array([1.0] * right + [0.0] * (number - right)))
    assert (low, high) == pytest.approx((of_library.low, of_library.high), abs=1e-12)


# Bootstrap ------------------------------------------------------------------------------------------------

SAMPLES = {
    "skewed": np.random.default_rng(1).exponential(1.0, 40),
    "both ways": np.random.default_rng(2).normal(0, 3, 25),
    "ones and noughts": (np.random.default_rng(3).random(60) < 0.8).astype(float),
    "one far out": np.array([1.0, 1.2, 0.8, 1.1, 0.9, 1.0, 1.3, 0.7, 1.0, 9.0]),
}


@pytest.mark.parametrize("name", SAMPLES)
def test_bootstrap_intervals_are_those_of_a_library(name):
    """scipy.stats.bootstrap(method="BCa"). Both are drawn: ends agree to a few hundredths of the width."""
    values = SAMPLES[name]
    of_library = stats.bootstrap(
        (values,),
        np.mean,
        confidence_level=0.9,
        n_resamples=40_000,
        method="BCa",
        rng=np.random.default_rng(9),
    ).confidence_interval
    ours = mean_with_interval(values, 40_000)
    width = of_library.high - of_library.low
    # Means of ones and noughts move by sixtieths: there an end may fall on the next one.
    near = max(0.03 * width, 1.01 / 60 if name == "ones and noughts" else 0.0)
    assert (ours.low, ours.high) == pytest.approx((of_library.low, of_library.high), abs=near)
    # BCa differs from plain percentiles where a sample is skewed; the library says by how much.
    if name == "one far out":
        plain = stats.bootstrap(
            (values,), np.mean, confidence_level=0.9, n_resamples=9999, method="percentile", rng=1
        ).confidence_interval
        assert abs(plain.high - of_library.high) > 0.1 * width


def test_the_worked_interval_of_eight_differences():
    """Minutes 5 5 -3 10 5 0 9 1: mean 4.0, 90 % from 1.50 to 6.25."""
    score = mean_with_interval(np.array([5.0, 5, -3, 10, 5, 0, 9, 1]))
    assert (score.value, score.cases) == (4.0, 8)
    assert (score.low, score.high) == pytest.approx((1.50, 6.25), abs=0.13)  # means move by eighths


def test_the_interval_of_an_even_sample_lies_evenly_about_its_mean():
    """Many resampled means equal the mean of so few ones and noughts; half of those count as below it."""
    score = mean_with_interval(np.array([0.0, 1.0] * 4))
    assert score.low + score.high == pytest.approx(1.0, abs=1e-12)
    assert 0.1 < score.low < 0.4


def test_intervals_are_the_same_every_time_and_one_case_has_none():
    values = SAMPLES["skewed"]
    assert mean_with_interval(values) == mean_with_interval(values)
    assert mean_with_interval(values[:0]).cases == 0
    assert np.isnan(mean_with_interval(values[:0]).value)
    one = mean_with_interval(values[:1])
    assert (one.value, one.cases) == (values[0], 1)
    assert np.isnan([one.low, one.high]).all()
    all_alike = mean_with_interval(np.full(7, 0.25))
    assert (all_alike.low, all_alike.high) == (0.25, 0.25)


def test_ninety_of_a_hundred_intervals_hold_the_mean():
    """300 samples of 40 from an exponential of mean 1; BCa is known to fall a little short on skewed ones."""
    rng = np.random.default_rng(17)
    held = [
        score.low <= 1 <= score.high
        for score in (mean_with_interval(rng.exponential(1.0, 40), 999) for _ in range(300))
    ]
    assert 0.84 <= np.mean(held) <= 0.94


def test_a_share_of_nought_for_the_truth_costs_much_but_not_without_end():
    shown = scored(Predicted(np.array([[1.0, 0.0], [0.5, 0.5]]), np.array([1, 0])), resamples=99)
    assert shown.log_loss.value == pytest.approx((-np.log(1e-12) + np.log(2)) / 2)


def test_minutes_are_compared_case_by_case():
    figures = scored(WORKED, [10, 20, 30], [15, 18, 36], resamples=99)
    assert figures.minutes is not None
    assert (figures.minutes.value, figures.minutes.cases) == (3.0, 3)
    assert scored(WORKED, resamples=99).minutes is None
    with pytest.raises(ValueError, match="3 expected minutes, but 2 actual ones"):
        scored(WORKED, [1, 2, 3], [1, 2])


@settings(max_examples=25)
@given(st.permutations(range(12)))
def test_the_order_of_cases_changes_no_score(order):
    predicted = made_up(4, 12)
    mixed = Predicted(predicted.shares[list(order)], predicted.truths[list(order)])
    for figure in (scores.log_losses, scores.brier_scores, lambda each: scores.hits(each, 3)):
        assert figure(mixed).mean() == pytest.approx(figure(predicted).mean(), rel=1e-12)


# Prediction before learning -------------------------------------------------------------------------------


def past_cases(number, seed=8):
    """Cases of a fleet that strays from the file."""
    rng = np.random.default_rng(seed)
    made = fleet(file_model(), rng)
    causes, seen = made.vehicles(rng, number)
    cases = []
    for cause, line in zip(causes, seen, strict=True):
        findings = {
            id: Finding(id, "not-sure" if at == NOT_SURE else answers[at])
            for (id, answers), at in zip(made.answers.items(), line, strict=True)
        }
        cases.append(PastCase(Situation(findings=findings), made.ids[cause]))
    return made, causes, seen, cases


def test_each_case_is_predicted_from_those_before_it_alone():
    made, causes, seen, cases = past_cases(30)
    predicted = foretold(tree(), cases)
    assert predicted.truths.tolist() == causes.tolist()
    for at in (0, 1, 17, 29):
        before = build_model(tree(), tally=made.tally(causes[:at], seen[:at]))
        assert predicted.shares[at] == pytest.approx(posterior(before, cases[at].situation), rel=1e-12)


def test_what_a_case_turns_out_to_be_changes_nothing_that_was_said_up_to_it():
    *_, cases = past_cases(20)
    other = [*cases[:10], replace(cases[10], cause="not-listed"), *cases[11:]]
    assert cases[10].cause != "not-listed"
    one, two = foretold(tree(), cases), foretold(tree(), other)
    assert (one.shares[:11] == two.shares[:11]).all()
    assert not np.allclose(one.shares[11:], two.shares[11:])


def test_scores_taken_after_learning_would_flatter():
    made, causes, seen, cases = past_cases(60)
    honest = scores.log_losses(foretold(tree(), cases)).mean()
    knowing = build_model(tree(), tally=made.tally(causes, seen))
    flattered = np.array([posterior(knowing, each.situation) for each in cases])
    assert scores.log_losses(Predicted(flattered, causes)).mean() < honest - 0.05


def test_a_cause_that_the_tree_does_not_have_is_refused():
    with pytest.raises(ValueError, match='"gone" is no cause of "fleet"'):
        foretold(tree(), [PastCase(Situation(), "gone")])


def test_no_cases_have_no_scores():
    nothing = scored(foretold(tree(), []), resamples=9)
    assert (nothing.log_loss.cases, nothing.calibration, nothing.minutes) == (0, (), None)
    assert np.isnan([nothing.log_loss.value, nothing.brier.low, nothing.top_3.high]).all()
