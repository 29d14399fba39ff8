from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.gauges.charging import TAKING, charging_time, filling_hours, most_hours
from diagnose.gauges.measured import Measured, exactly

C = exactly(80.0)
kinds = st.sampled_from(sorted(TAKING))


@given(kinds, st.floats(0, 99), st.floats(0.1, 1), st.floats(1, 50), st.floats(1, 50))
def test_a_fuller_battery_or_a_stronger_charger_takes_no_longer(kind, charge, fuller, current, more):
    base = filling_hours(C, exactly(charge), exactly(current), kind).value
    assert filling_hours(C, exactly(charge + fuller), exactly(current), kind).value <= base + 1e-9
    assert filling_hours(C, exactly(charge), exactly(current + more), kind).value <= base + 1e-9


@given(kinds, st.floats(0, 100), st.floats(1, 50))
def test_four_fifths_come_before_full(kind, charge, current):
    full = filling_hours(C, exactly(charge), exactly(current), kind).value
    assert 0 <= most_hours(C, exactly(charge), exactly(current), kind).value <= full + 1e-9


def test_a_full_battery_takes_no_time():
    for kind in TAKING:
        assert filling_hours(C, exactly(100.0), exactly(16.0), kind).value == 0


def test_by_hand():
    # 80 Ah from 46 to 80 %: 27.2 Ah x 1.2 / 16 A = 2.04 h; then 4 h for the last fifth.
    assert most_hours(C, exactly(46.0), exactly(16.0), "flooded").value == pytest.approx(2.04)
    assert filling_hours(C, exactly(46.0), exactly(16.0), "flooded").value == pytest.approx(6.04)
    # A charger of 1 A cannot do the last 16 Ah x 1.2 in four hours.
    assert filling_hours(C, exactly(80.0), exactly(1.0), "flooded").value == pytest.approx(19.2)


def test_frost_and_acid_are_warned_of_every_time():
    outcome = charging_time(Measured(80, 8), Measured(46, 5), Measured(16, 1.6), "flooded")
    assert [caution.word for caution in outcome.cautions] == ["DANGER", "WARNING"]
    assert "frozen" in outcome.cautions[0].say


def test_a_strong_charger_and_lithium_get_a_word_of_their_own():
    strong = charging_time(Measured(80, 8), Measured(46, 5), Measured(60, 1), "flooded")
    assert any("strong charger" in note for note in strong.notes)
    lithium = charging_time(Measured(80, 8), Measured(46, 5), Measured(16, 1), "lithium")
    assert any("under 0 °C" in note for note in lithium.notes)
