"""Scores of a whole store, against scikit-learn on what a model made anew for every case says."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from sklearn import metrics
from sklearn.calibration import calibration_curve

from diagnose.cases.store import open_store
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.scores import Predicted
from diagnose.reviewing import figures, history
from diagnose.reviewing.figures import columns_of
from diagnose.reviewing.scoring import Wanted, review
from diagnose.reviewing.walked_minutes import walked_minutes
from diagnose.walking.past import read_past
from tests.cases.conftest import postgresql_url, server  # noqa: F401 - fixtures
from tests.reviewing.made_up_past import fill
from tests.reviewing.plainly import EVERYBODY, in_order, shares_of


def weights_of(past):
    """Horvitz & Thompson 1952, from memory, ones added (docs/learning.md): what each one stands for."""
    over = Counter(each.record.state for each in past)
    told = Counter(each.record.state for each in in_order(past))
    return np.array(
        [(over[each.record.state] + 1) / (told[each.record.state] + 1) for each in in_order(past)]
    )


@pytest.mark.parametrize("seed", [4, 5])
def test_all_figures_are_those_of_a_library_on_models_made_anew_for_each_case(
    tree, model, past_of, scored, seed
):
    """scikit-learn: log_loss, brier_score_loss of each class added, top_k_accuracy_score; sample_weight."""
    past = past_of(60, seed)
    cases, weights, labels = in_order(past), weights_of(past), list(range(len(model.ids)))
    truths = np.array([model.index[each.record.cause] for each in cases])
    situations = [read_past(tree, each.record.entries).situation for each in cases]
    by_case = np.array([shares_of(tree, past, each) for each in cases])
    by_file = np.array([posterior(model, each) for each in situations])
    assert len(set(weights)) > 1
    told = scored(past).overall
    assert told.cases == len(cases) > 30
    assert told.effective == pytest.approx(weights.sum() ** 2 / (weights**2).sum())
    for side, shares in ((told.learned, by_case), (told.by_file, by_file)):
        kept = {"sample_weight": weights}
        assert side.log_loss.value == pytest.approx(metrics.log_loss(truths, shares, labels=labels, **kept))
        by_class = [metrics.brier_score_loss(truths == each, shares[:, each], **kept) for each in labels]
        assert side.brier.value == pytest.approx(sum(by_class))
        for score, first in ((side.top_1, 1), (side.top_3, 3)):
            theirs = metrics.top_k_accuracy_score(truths, shares, k=first, labels=labels, **kept)
            assert score.value == pytest.approx(theirs)
    gain = told.by_file.log_loss.value - told.learned.log_loss.value
    assert told.learning.difference.value == pytest.approx(gain)
    assert told.learning.better + told.learning.same + told.learning.worse == len(cases)


def test_calibration_is_that_of_a_library_where_all_cases_count_alike(tree, model, past_of, scored):
    """scikit-learn's calibration_curve with quantile bins, on 60 cases of which everybody told."""
    past = past_of(60, 6, told=EVERYBODY)
    told = scored(past).overall
    cases = in_order(past)
    shares = np.array([shares_of(tree, past, each) for each in cases])
    right = shares.argmax(axis=1) == [model.index[each.record.cause] for each in cases]
    hit, said = calibration_curve(right, shares.max(axis=1), n_bins=10, strategy="quantile")
    assert [each.said for each in told.calibration] == pytest.approx(said.tolist())
    assert [each.hit for each in told.calibration] == pytest.approx(hit.tolist())


def test_in_a_group_of_calibration_cases_count_as_in_every_score(tree, model, past_of, scored):
    """Against numpy's weighted mean over groups of equal size (scikit-learn's curve knows no weights)."""
    past = past_of(100, 6)
    cases, weights = in_order(past), weights_of(past)
    assert len(set(weights)) > 1
    shares = np.array([shares_of(tree, past, each) for each in cases])
    right = shares.argmax(axis=1) == [model.index[each.record.cause] for each in cases]
    groups = np.array_split(np.argsort(shares.max(axis=1), kind="stable"), 10)
    told = scored(past).overall.calibration
    assert [each.hit for each in told] == pytest.approx(
        [np.average(right[group], weights=weights[group]) for group in groups]
    )


def test_no_calibration_below_fifty_cases(past_of, scored):
    past = past_of(49, 6, told=EVERYBODY)
    told = scored(past).overall
    assert (told.cases, told.calibration) == (49, ())
    assert len(scored(past_of(50, 6, told=EVERYBODY)).overall.calibration) == 10


def test_learning_helps_where_a_fleet_strays_from_its_file(past_of, scored):
    told = scored(past_of(300, 7)).overall
    assert told.learning.verdict == "helped"
    assert 0 < told.learning.difference.low < told.learning.difference.value < told.learning.difference.high


def test_a_few_cases_judge_nothing(past_of, scored):
    told = scored(past_of(9, 7, told=EVERYBODY)).overall
    assert told.learning.verdict == "too-few"
    # Before the first case nothing was learned.
    assert told.learning.same >= 1


@pytest.mark.parametrize(
    ("gains", "verdict"),
    [
        ([0.1] * 5 + [0.2] * 5, "helped"),
        ([-0.1] * 5 + [-0.2] * 5, "harmed"),
        ([0.1, -0.1] * 5, "not-shown"),
        ([0.1] * 9 + [0.0] * 50, "too-few"),
    ],
)
def test_verdicts(gains, verdict):
    gains = np.array(gains)
    assert figures._learning(gains, figures.mean_with_interval(gains)).verdict == verdict


def test_the_worked_rows_have_their_worked_scores():
    """Rows (.7 .2 .1), (.5 .3 .2), (.1 .6 .3), truths 1, 2, 3: .921540 and .593333, worked separately."""
    rows = figures_said(np.array([[0.7, 0.2, 0.1], [0.5, 0.3, 0.2], [0.1, 0.6, 0.3]]), np.array([0, 1, 2]))
    told = figures.figures_of(columns_of(rows), np.ones(3))
    assert told.learned.log_loss.value == pytest.approx(0.921540, abs=5e-7)
    assert told.learned.brier.value == pytest.approx(0.593333, abs=5e-7)
    assert (told.learned.top_1.value, told.learned.top_3.value) == pytest.approx((1 / 3, 1))


def figures_said(shares, truths):
    nothing = np.full(len(truths), np.nan)
    predicted = Predicted(shares, truths)
    places = np.arange(len(truths))
    return history.Said(places, predicted, predicted, ("cured",) * len(truths), nothing, nothing, nothing)


# Minutes --------------------------------------------------------------------------------------------------


def test_minutes_are_those_of_the_walks_and_of_the_route(model, route, past_of, scored):
    past = past_of(40, 8, told=EVERYBODY)
    told = scored(past, minutes=True).overall.minutes
    walked = [
        walked_minutes(
            read_past(model.tree, each.record.entries), each.record, model.index[each.record.cause], model
        )
        for each in in_order(past)
    ]
    assert told.walked.cases == 40
    assert told.walked.value == pytest.approx(np.mean(walked))
    by_file = model.prior @ cost_by_cause(route, model)
    assert told.expected_by_file.value == pytest.approx(by_file)
    assert told.difference.value == pytest.approx(told.walked.value - told.expected.value)
    # The first case expects what the file does; later ones what was learned by then.
    assert told.expected.value != pytest.approx(by_file, rel=1e-6)


def test_cases_that_were_brought_in_are_scored_without_minutes(past_of, scored):
    past = [
        replace(each, record=replace(each.record, source="elsewhere", source_case=str(each.record.case)))
        for each in past_of(12, 8, told=EVERYBODY)
    ]
    told = scored(past, minutes=True).overall
    assert (told.cases, told.minutes) == (12, None)


# The course -----------------------------------------------------------------------------------------------


def test_the_course_ends_at_the_mean_of_all(past_of, scored):
    told = scored(past_of(60, 4))
    assert told.course[0].cases == 10
    assert told.course[-1].cases == told.overall.cases
    assert told.course[-1].learned == pytest.approx(told.overall.learned.log_loss.value)
    assert told.course[-1].by_file == pytest.approx(told.overall.by_file.log_loss.value)
    assert scored(past_of(9, 7, told=EVERYBODY)).course == ()


def test_the_course_takes_cases_as_they_were_confirmed_whatever_their_tree():
    """Trees come one after the other; their cases were confirmed in turns. The mean is written out."""
    rng = np.random.default_rng(9)
    shares, places = rng.dirichlet(np.ones(3), 40), rng.permutation(40)
    columns = replace(columns_of(figures_said(shares, np.zeros(40, dtype=int))), places=places)
    weights = rng.choice([0.5, 2.0], 40)
    course = figures.course_of(columns, weights)
    assert [each.cases for each in course] == list(range(10, 41))
    for each in course:
        before = places < each.cases
        mean = np.average(-np.log(shares[before, 0]), weights=weights[before])
        assert each.learned == each.by_file == pytest.approx(mean)


def test_a_server_has_the_same_scores(past_of, scored, postgresql_url):  # noqa: F811
    past = past_of(60, 14)
    assert scored(past, url=postgresql_url) == scored(past)


# Cost -----------------------------------------------------------------------------------------------------


def test_no_model_is_made_for_a_case(past_of, scored, monkeypatch):
    """Twice the cases take the same number of models: one for the tree, one for its route."""
    made = []

    def counting(*arguments, **named):
        made.append(1)
        return build(*arguments, **named)

    build = history.build_model
    monkeypatch.setattr(history, "build_model", counting)
    scored(past_of(30, 15), minutes=True)
    few = len(made)
    scored(past_of(60, 15), minutes=True)
    assert (few, len(made)) == (2, 4)


def test_progress_is_told_case_by_case(past_of, tree, shelf, tmp_path):
    told = []
    with open_store(str(tmp_path / "p.sqlite")) as store:
        fill(store, past_of(10, 16, told=EVERYBODY))
        review(store, Wanted(lambda _: tree, cache=shelf), lambda done, of: told.append((done, of)))
    assert told == [(done, 10) for done in range(1, 11)]


def test_scores_are_the_same_every_time(past_of, scored):
    past = past_of(40, 17)
    assert scored(past) == scored(past)
