"""How fast the ranking learns: log loss on fresh vehicles against the file, counts alone, and a library.

The library is scikit-learn: DecisionTreeClassifier and CategoricalNB, on the same cases, set the way that
suits them best.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import Finding, Situation
from tests.reasoning.documented import shows
from tests.reasoning.fleets import file_model, fleet, posteriors, tree
from tests.reasoning.rivals import METHODS, NUMBERS, STRAYS, curve

FLEETS = 24


@cache
def long_curve(strays):
    return curve(strays, FLEETS)


def test_the_written_out_posterior_is_that_of_the_package():
    """What the curves are made with, against the ranking itself."""
    file = file_model()
    rng = np.random.default_rng(1)
    made = fleet(file, rng)
    causes, seen = made.vehicles(rng, 40)
    learned = build_model(tree(), tally=made.tally(causes, seen))
    fresh = made.vehicles(rng, 10)[1]
    plain = posteriors(learned.prior, learned.rows, fresh)
    for line, shares in zip(fresh, plain, strict=True):
        told = zip(made.answers.items(), line, strict=True)
        findings = {id: Finding(id, answers[at]) for (id, answers), at in told if at >= 0}
        assert posterior(learned, Situation(findings=findings)) == pytest.approx(shares, rel=1e-12)


def test_the_ranking_learns_from_a_few_cases_and_faster_than_its_rivals():
    """Eight fleets up to 500 cases; the long test has more of both. Two standard errors are the bound."""
    learned = curve("some", 8, (0, 20, 100, 500))
    assert learned.mean("ours", 0) == pytest.approx(learned.mean("file", 0), rel=1e-12)
    for number in (20, 100, 500):
        for rival in ("file", "counts", "tree", "bayes"):
            assert learned.behind(rival, number) < 2, (rival, number)
    losses = [learned.mean("ours", number) for number in (0, 20, 100, 500)]
    assert losses == sorted(losses, reverse=True)
    assert losses[-1] < 1.06 * learned.mean("truth", 500)


@pytest.mark.long
@pytest.mark.timeout(400)
@pytest.mark.parametrize("strays", STRAYS)
def test_the_ranking_is_never_behind_and_ends_within_two_hundredths_of_the_truth(strays):
    """Without any case a rival that needs cases has nothing to go by; the library is asked from 20 on."""
    learned = long_curve(strays)
    for number in NUMBERS:
        for rival in ("file", "counts") if number < 20 else ("file", "counts", "tree", "bayes"):
            assert learned.behind(rival, number) < 2, (rival, number)
    assert learned.mean("ours", 5000) < 1.02 * learned.mean("truth", 5000)


@pytest.mark.long
@pytest.mark.timeout(400)
def test_what_it_costs_where_the_file_is_nearly_right_or_far_off_stays_as_small_as_it_is():
    """The file's strength says how far it may be off; where it is nearer or further, that has its price.

    The bounds are what was measured, with some room, so that nothing gets worse unseen.
    """
    little, much = long_curve("little"), long_curve("much")
    for number in (20, 100):
        assert little.mean("ours", number) < little.mean("file", number) + 0.02
    assert little.behind("file", 500) < -2
    for number in NUMBERS:
        assert much.mean("ours", number) < much.mean("counts", number) + 0.01


@pytest.mark.long
@pytest.mark.timeout(400)
def test_the_document_shows_the_curve():
    """Versions of the library and of the processor's arithmetic may move a third digit."""
    lines = [
        (strays, number, *(f"{long_curve(strays).mean(method, number):.3f}" for method in METHODS))
        for strays in STRAYS
        for number in NUMBERS
    ]
    shows("curve", ("the truth strays", "cases", *METHODS), lines, within=0.006)
