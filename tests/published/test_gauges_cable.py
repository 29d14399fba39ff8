"""Cable gauge against IEC 60228 and the conductivity of copper."""

from __future__ import annotations

import pytest

from diagnose.gauges.cable import ALPHA, MOST_SHARE, OHM_PER_KM, volt_drop
from diagnose.gauges.measured import Measured


@pytest.mark.parametrize(
    ("section", "ohm_per_km"),
    # IEC 60228, table 3, class 5, plain copper, 20 °C; second-hand.
    [(1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30), (10.0, 1.91)],
)
def test_the_printed_resistances(section, ohm_per_km):
    assert OHM_PER_KM[section] == ohm_per_km


@pytest.mark.parametrize("section", sorted(OHM_PER_KM))
def test_no_resistance_strays_from_what_copper_gives(section):
    # IEC 60028, from memory: annealed copper has 1/58 Ω mm²/m at 20 °C. The greatest resistance of fine
    # strands lies some 10 to 16 % over that of a solid conductor of that section, so a misprint would show.
    solid = 1000 / 58 / section
    assert 1.10 < OHM_PER_KM[section] / solid < 1.165


def test_the_temperature_coefficient_of_copper():
    assert ALPHA == 0.00393  # IEC 60028, from memory


def test_a_drop_with_its_doubt():
    # Worked apart: 2 · 6 m · 8 A · 7.98 mΩ/m · (1 + 0.00393 · 20) = 0.826 ± 0.077 V; the rule is 0.36 V.
    drop = volt_drop(Measured(8, 0.3), Measured(6, 0.5), OHM_PER_KM[2.5], Measured(40, 5))
    assert drop.value == pytest.approx(0.826, abs=0.0005)
    assert drop.uncertainty == pytest.approx(0.077, abs=0.0005)
    assert pytest.approx(0.36) == MOST_SHARE * 12
