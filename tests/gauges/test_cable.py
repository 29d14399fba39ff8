from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.cable import OHM_PER_KM, cable_drop, volt_drop
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured, exactly

T, TWELVE = exactly(20.0), exactly(12.0)


@given(st.sampled_from(sorted(OHM_PER_KM)[:-1]))
def test_a_thicker_cable_loses_less(size):
    thicker = min(each for each in OHM_PER_KM if each > size)
    assert OHM_PER_KM[thicker] < OHM_PER_KM[size]


@given(st.floats(0.1, 50), st.floats(0.1, 30), st.floats(1.1, 3))
def test_the_drop_grows_with_current_and_length_alike(amperes, metres, times):
    once = volt_drop(exactly(amperes), exactly(metres), 7.98, T).value
    assert volt_drop(exactly(amperes * times), exactly(metres), 7.98, T).value == pytest.approx(times * once)
    assert volt_drop(exactly(amperes), exactly(metres * times), 7.98, T).value == pytest.approx(times * once)


def test_a_warm_cable_loses_more():
    cold, warm = (volt_drop(exactly(8.0), exactly(6.0), 7.98, exactly(each)).value for each in (20.0, 60.0))
    assert warm / cold == pytest.approx(1 + 0.00393 * 40)


def test_up_to_three_per_cent_is_good_and_beyond_the_next_that_would_do_is_named():
    good = cable_drop(Measured(2, 0.1), Measured(6, 0.5), exactly(2.5), T, TWELVE)
    assert good.meaning == "The cable loses 1.6 % of the voltage: good, 3 % or less is the rule."
    weak = cable_drop(Measured(8, 0.3), Measured(6, 0.5), exactly(2.5), T, TWELVE)
    assert weak.meaning == "The cable loses 6.4 % of the voltage, more than 3 %: 6 mm² would do."
    hopeless = cable_drop(Measured(200, 5), Measured(20, 1), exactly(50.0), T, TWELVE)
    assert "no cable of this table would do" in hopeless.meaning


@given(st.floats(1, 30), st.floats(1, 10), st.sampled_from(sorted(OHM_PER_KM)))
def test_the_cable_that_is_named_would_do(amperes, metres, size):
    try:
        said = cable_drop(exactly(amperes), exactly(metres), exactly(size), T, TWELVE).meaning
    except NotPossible:
        return
    if "mm² would do" in said:
        named = float(said.rsplit(": ", 1)[1].split(" ")[0])
        assert volt_drop(exactly(amperes), exactly(metres), OHM_PER_KM[named], T).value <= 0.36


def test_at_24_volts_the_same_drop_is_half_the_share():
    arguments = (Measured(8, 0.3), Measured(6, 0.5), exactly(2.5), T)
    at_12, at_24 = (cable_drop(*arguments, exactly(volts)) for volts in (12.0, 24.0))
    assert at_12.measured == at_24.measured
    assert at_12.also[0].measured.value == pytest.approx(2 * at_24.also[0].measured.value)


def test_a_cross_section_that_is_not_made_is_refused_with_those_that_are():
    with pytest.raises(NotPossible, match=r"these are: 0\.75, 1, 1\.5, 2\.5"):
        cable_drop(Measured(8, 0.3), Measured(6, 0.5), exactly(3.0), T, TWELVE)


def test_a_current_that_cannot_flow_is_refused():
    with pytest.raises(NotPossible, match="cannot flow"):
        cable_drop(Measured(500, 1), Measured(20, 1), exactly(1.0), T, TWELVE)
