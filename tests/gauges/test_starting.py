from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured, exactly
from diagnose.gauges.starting import cranking, inner_resistance, resistance


@given(st.floats(12, 13), st.floats(5, 11.9), st.floats(50, 800))
def test_resistance_times_current_is_the_drop(rest, crank, amperes):
    found = resistance(exactly(rest), exactly(crank), exactly(amperes))
    assert found.value / 1000 * amperes == pytest.approx(rest - crank)


@pytest.mark.parametrize(
    ("rest", "crank", "said"),
    [
        (12.5, 10.2, "It holds 10.2 V while cranking"),
        (12.5, 9.0, "It sags to 9 V, under 9.6 V"),
        (12.5, 9.7, "It sags to 9.7 V, right at the line of 9.6 V"),
        (12.1, 8.5, "It sags to 8.5 V, but it was not well charged: charge it first"),
    ],
)
def test_a_sag_is_judged_only_of_a_charged_battery_and_beyond_its_doubt(rest, crank, said):
    assert cranking(Measured(rest, 0.03), Measured(crank, 0.15)).meaning.startswith(said)


def test_readings_the_wrong_way_round_are_refused():
    for gauge in (cranking, lambda rest, crank: inner_resistance(rest, crank, Measured(220, 30))):
        with pytest.raises(NotPossible, match="wrong way round"):
            gauge(Measured(10.2, 0.1), Measured(12.5, 0.1))


def test_exhaust_and_acid_are_warned_of():
    words = [caution.word for caution in cranking(Measured(12.5, 0.03), Measured(10.2, 0.15)).cautions]
    assert words == ["DANGER", "WARNING"]


def test_what_a_resistance_means_is_said_at_a_round_current():
    outcome = inner_resistance(Measured(12.5, 0.03), Measured(10.2, 0.15), Measured(220, 30))
    assert outcome.meaning == "At 200 A this battery and its clamps lose about 2.1 V."
