from __future__ import annotations

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges import measured
from diagnose.gauges.measured import Measured, exactly, half_width, propagate, written

values = st.floats(0.5, 500)
doubts = st.floats(0, 0.2)


def test_the_examples_in_the_docstrings_hold():
    result = doctest.testmod(measured)
    assert result.attempted == 3
    assert result.failed == 0


def test_uncertainties_of_a_sum_add_as_squares():
    # JCGM 100:2008, equation 10, for Y = X1 + X2.
    found = propagate(lambda a, b: a + b, Measured(1.0, 0.3), Measured(2.0, 0.4))
    assert found.value == 3.0
    assert found.uncertainty == pytest.approx(0.5)


@given(values, values, st.floats(0, 0.02), st.floats(0, 0.02))
def test_relative_uncertainties_of_a_product_add_as_squares(a, b, of_a, of_b):
    # JCGM 100:2008, 5.1.6 (small uncertainties, so that the next order is far below the tolerance).
    found = propagate(lambda x, y: x * y, Measured(a, a * of_a), Measured(b, b * of_b))
    assert found.uncertainty / found.value == pytest.approx(math.hypot(of_a, of_b), rel=1e-3, abs=1e-9)


@pytest.mark.parametrize(
    ("formula", "inputs"),
    [
        (lambda v, i: v / i, (Measured(2.3, 0.153), Measured(220, 30))),
        (lambda m, p: m * 12.9 / p, (Measured(3, 0.2), Measured(2, 0.2))),
        (lambda c, i, k: 20 * (c / (i * 20)) ** k, (Measured(95, 8), Measured(8, 0.4), Measured(1.2, 0.05))),
        (lambda x: x**2, (Measured(1.0, 0.3),)),
        (lambda x: math.exp(x), (Measured(0.0, 0.25),)),
    ],
)
def test_the_uncertainty_is_what_drawn_inputs_scatter_by(formula, inputs):
    # The Monte Carlo method of JCGM 101:2008, with normal inputs.
    drawn = np.random.default_rng(4)
    samples = [drawn.normal(each.value, each.uncertainty, 40_000) for each in inputs]
    scatter = np.std([formula(*point) for point in zip(*samples, strict=True)])
    assert propagate(formula, *inputs).uncertainty == pytest.approx(scatter, rel=0.03)


def test_without_the_next_order_a_rough_current_would_look_surer_than_it_is():
    inputs = (Measured(2.3, math.hypot(0.03, 0.15)), Measured(220, 30))
    first = math.hypot(inputs[0].uncertainty / 2.3, 30 / 220) * 2.3 / 220
    assert propagate(lambda v, i: v / i, *inputs).uncertainty > 1.05 * first


@given(values, doubts, values, doubts)
def test_a_straight_formula_has_no_next_order(a, u, b, w):
    inputs = (Measured(a, u), Measured(b, w))
    plain = propagate(lambda x, y: 3 * x - 2 * y, *inputs)
    lines = propagate(lambda x, y: 3 * x - 2 * y, *inputs, straight=True)
    assert plain.uncertainty == pytest.approx(lines.uncertainty, rel=1e-6, abs=1e-9)
    assert plain.uncertainty == pytest.approx(math.hypot(3 * u, 2 * w), rel=1e-6, abs=1e-9)


def test_what_is_known_exactly_adds_nothing():
    assert propagate(lambda a, b: a * b, exactly(3.0), exactly(4.0)) == Measured(12.0, 0.0)
    assert propagate(lambda a, b: a * b, Measured(3.0, 0.1), exactly(4.0)).uncertainty == pytest.approx(0.4)


def test_an_uncertainty_larger_than_its_value_still_gives_a_figure():
    found = propagate(lambda v, i: v / i, Measured(2.0, 0.1), Measured(1.0, 2.0))
    assert found.value == 2.0
    assert math.isfinite(found.uncertainty)
    assert propagate(math.sqrt, Measured(1.0, 5.0)).uncertainty == pytest.approx(2.5, rel=1e-3)


def test_bounds_of_a_meter_become_a_standard_uncertainty():
    # JCGM 100:2008, 4.3.7: half-width over root three.
    assert half_width(0.1) == pytest.approx(0.0577, abs=1e-4)


@pytest.mark.parametrize(
    ("figure", "unit", "shown"),
    [
        (Measured(46.4286, 6.9048), "%", "46.4 ± 6.9 %"),
        (Measured(0.82633, 0.07701), "V", "0.826 ± 0.077 V"),
        (Measured(184.6, 44.2), "mbar", "185 ± 44 mbar"),
        (Measured(1846, 442), "mbar", "1850 ± 440 mbar"),
        (Measured(10.0, 1.0), "°C", "10.0 ± 1.0 °C"),
        (Measured(-23.28, 1.68), "°C", "-23.3 ± 1.7 °C"),
        (Measured(2.5), "mm²", "2.5 mm²"),
        (Measured(0.0), "days", "0 days"),
        (Measured(1.2, 0.05), "", "1.200 ± 0.050"),
        (Measured(9.96, 0.0996), "V", "9.96 ± 0.10 V"),
    ],
)
def test_a_figure_is_written_with_two_figures_of_doubt(figure, unit, shown):
    assert written(figure, unit) == shown


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e5))
def test_what_is_written_lies_within_a_twentieth_of_the_doubt(value, doubt):
    shown = written(Measured(value, doubt), "")
    read, read_doubt = (float(part) for part in shown.split(" ± "))
    assert abs(read - value) <= 0.0501 * doubt
    assert read_doubt == pytest.approx(doubt, rel=0.051)
