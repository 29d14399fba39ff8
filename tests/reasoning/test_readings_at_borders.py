"""Readings at and about the borders of their bands: continuous, symmetric, and as sure as the instrument is.

Standard uncertainty is that of JCGM 100:2008; weights of bands as virtual evidence, Pearl 1988 (both from
memory). Expected weights are worked with scipy's normal distribution.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.readings import band_weights, log_band_weights
from diagnose.terms import Band, Finding, Situation
from tests.published.conftest import worked_tree

BANDS = (Band("flat", 0.0, 11.9), Band("low", 11.9, 12.4), Band("good", 12.4, 16.0))
BORDERS = (11.9, 12.4)


def read(value, uncertainty=None):
    band = next((b.id for b in BANDS if b.low <= value < b.high), "good")
    return Situation({"volts": Finding("volts", band, value, uncertainty)})


@pytest.mark.parametrize("border", BORDERS)
def test_a_value_on_a_border_gives_each_side_half_its_chance_spread_over_its_width(border):
    below, above = (i for i, b in enumerate(BANDS) if border in (b.low, b.high))
    weights = np.exp(log_band_weights(BANDS, border, 0.01))
    widths = [b.high - b.low for b in BANDS]
    assert weights[below] * widths[below] == pytest.approx(0.5, abs=1e-9)
    assert weights[above] * widths[above] == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize("border", BORDERS)
def test_with_an_uncertainty_the_shares_do_not_jump_at_a_border(border):
    model = build_model(worked_tree())
    before, after = (posterior(model, read(border + nudge)) for nudge in (-1e-9, 1e-9))
    assert before == pytest.approx(after, abs=1e-6)


@pytest.mark.parametrize("border", BORDERS)
def test_far_from_a_border_against_the_uncertainty_a_reading_is_as_good_as_its_band(border):
    model = build_model(worked_tree())
    for value in (border - 0.2, border + 0.2):
        # Ten standard uncertainties away nothing is left on the other side.
        said = Situation({"volts": Finding("volts", read(value).findings["volts"].answer)})
        assert posterior(model, read(value, 0.02)) == pytest.approx(posterior(model, said), abs=1e-12)


def test_the_ends_of_the_range_are_cut_not_lost():
    """At the very end half of the normal lies outside the range; what is inside still decides alone."""
    model = build_model(worked_tree())
    for value, band in ((0.0, "flat"), (16.0, "good")):
        said = Situation({"volts": Finding("volts", band)})
        assert posterior(model, read(value)) == pytest.approx(posterior(model, said), abs=1e-12)


def test_an_instrument_that_tells_nothing_moves_little():
    """With an uncertainty far wider than the range every value inside it is about as likely."""
    model = build_model(worked_tree())
    assert posterior(model, read(12.0, 1e6)) == pytest.approx(model.prior, abs=1e-6)


@given(st.floats(0, 16), st.floats(0.01, 3))
def test_the_instruments_own_uncertainty_is_what_counts(value, uncertainty):
    model = build_model(worked_tree())
    normal = stats.norm(value, uncertainty)
    weights = np.array(
        [
            (normal.cdf(b.high) - normal.cdf(b.low))
            if b.low < value
            else normal.sf(b.low) - normal.sf(b.high)
            for b in BANDS
        ]
    ) / np.array([b.high - b.low for b in BANDS])
    joint = model.prior * (model.rows["volts"] @ weights)
    assert posterior(model, read(value, uncertainty)) == pytest.approx(joint / joint.sum(), abs=1e-9)


@pytest.mark.parametrize(("value", "at"), [(0.0, 0), (12.0, 1), (12.4, 2), (16.0, 2)])
def test_without_uncertainty_a_band_weighs_as_much_as_an_even_density_over_it(value, at):
    """The uniform density is scipy's; the upper end of the range belongs to the last band."""
    band = BANDS[at]
    expected = np.full(len(BANDS), -np.inf)
    expected[at] = stats.uniform(band.low, band.high - band.low).logpdf(value)
    assert log_band_weights(BANDS, value, 0) == pytest.approx(expected, rel=1e-12)
    assert band_weights(BANDS, value, 0) == pytest.approx(np.exp(expected), rel=1e-12)


@pytest.mark.parametrize("value", [1e20, -1e20])
def test_so_far_out_that_both_ends_of_a_band_round_to_one_it_weighs_nothing(value):
    assert log_band_weights(BANDS, value, 0.05).tolist() == [-np.inf] * 3
