"""What findings and readings do to the shares.

Sources, from memory: Bayes' rule; virtual evidence, Pearl, Probabilistic Reasoning in Intelligent Systems,
1988; standard uncertainty, JCGM 100:2008. Figures worked by a separate plain implementation; weights of bands
also by scipy's normal distribution.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.readings import log_band_weights
from diagnose.terms import NOT_CURED, Finding, Situation

NO_HUM = Finding("hum", "no")


def volts(value, band, uncertainty=None):
    return Finding("volts", band, value, uncertainty)


@pytest.mark.parametrize(
    ("findings", "printed"),
    [
        ([NO_HUM], [0.667802, 0.212947, 0.051107, 0.025554, 0.042589]),
        ([volts(12.37, "low")], [0.312967, 0.535713, 0.067757, 0.033878, 0.049684]),
        ([NO_HUM, volts(12.37, "low")], [0.498995, 0.435786, 0.016535, 0.008268, 0.040416]),
        ([volts(20.0, "good")], [0.3977, 0.0621, 0.3380, 0.1690, 0.0331]),
    ],
)
def test_the_worked_posteriors_come_out(tree, findings, printed):
    situation = Situation(findings={finding.check: finding for finding in findings})
    digits = 5e-5 if len(str(printed[0])) < 8 else 6e-7
    assert posterior(build_model(tree), situation) == pytest.approx(printed, abs=digits)


def test_the_rows_are_those_of_the_file_with_words_as_numbers(tree):
    rows = build_model(tree).rows
    third = 1 / 3
    assert rows["hum"] == pytest.approx(
        np.array([[0.02, 0.98], [0.5, 0.5], [0.85, 0.15], [0.85, 0.15], [0.5, 0.5]])
    )
    assert rows["volts"] == pytest.approx(
        np.array(
            [
                [0.25, 0.25, 0.5],
                [0.125, 0.75, 0.125],
                [0.075, 0.075, 0.85],
                [0.075, 0.075, 0.85],
                [third, third, third],
            ]
        )
    )


def test_the_weights_of_the_bands_are_the_worked_ones(tree):
    bands = tree.checks["volts"].bands
    assert np.exp(log_band_weights(bands, 12.37, 0.05)) == pytest.approx([0, 1.451494, 0.076181], abs=6e-7)
    far = log_band_weights(bands, 20.0, 0.05)
    assert far == pytest.approx([-13130.4831, -11557.2497, -3206.5821], abs=6e-5)


@given(st.floats(0, 16), st.floats(0.01, 2))
def test_the_weights_of_the_bands_are_scipys(value, uncertainty):
    from diagnose.terms import Band

    bands = (Band("flat", 0.0, 11.9), Band("low", 11.9, 12.4), Band("good", 12.4, 16.0))
    normal = stats.norm(value, uncertainty)
    for band, weight in zip(bands, log_band_weights(bands, value, uncertainty), strict=True):
        if band.low < value:
            share = normal.cdf(band.high) - normal.cdf(band.low)
        else:
            share = normal.sf(band.low) - normal.sf(band.high)
        expected = share / (band.high - band.low)
        assert np.exp(weight) == pytest.approx(expected, rel=1e-6, abs=1e-15)


def test_a_remedy_that_did_not_cure_leaves_what_it_may_have_missed(tree):
    # By Bayes' rule: 0.25 x (1 - 0.9) for the pump, the others as they were.
    joint = np.array([0.40, 0.25 * 0.1, 0.20, 0.10, 0.05])
    shares = posterior(build_model(tree), Situation(tried={"pump": NOT_CURED}))
    assert shares == pytest.approx(joint / joint.sum(), abs=1e-12)
