"""Water's density and head against a reference library and water tables."""

from __future__ import annotations

import pytest

from diagnose.gauges import water
from diagnose.gauges.register import gauge
from tests.published.coolprop import properties

# Water tables (from memory; the same in every handbook): kg/m³ at one atmosphere.
TABLE = {0: 999.84, 4: 999.97, 10: 999.70, 15: 999.10, 20: 998.21, 25: 997.05, 30: 995.65, 40: 992.22}


@pytest.mark.parametrize("celsius", TABLE)
def test_density_is_that_of_the_tables(celsius):
    assert water.water_density(celsius) == pytest.approx(TABLE[celsius], abs=0.02)


@pytest.mark.parametrize("celsius", [1, 4, 10, 15, 20, 30, 40])
def test_density_is_that_of_the_reference_library(celsius):
    # CoolProp: the IAPWS-95 equation of state.
    reference = properties("D", "T", celsius + 273.15, "P", 101325, "Water")
    assert water.water_density(celsius) == pytest.approx(reference, rel=2e-5)


def test_a_column_of_water_presses_as_the_old_unit_says():
    # The conventional metre of water is 98.0665 mbar (ISO 80000-4, from memory): at 4 °C, standard gravity.
    assert water.head_pressure(1, 4) == pytest.approx(98.0665, abs=0.01)
    # And ten metres make one bar, as is said at every pump (common practice, no source).
    assert water.head_pressure(10.2, 10) == pytest.approx(1000, rel=0.001)


def test_the_worked_example_of_a_dose():
    # Worked beforehand: 80 ± 3 l at the label's 0.50 ± 0.02 ml/l take 40.0 ± 2.2 ml.
    texts = {"volume": "80 ± 3 l", "dose": "0.50 ± 0.02 ml/l", "heater": "bypassed"}
    assert gauge("tank-dose").outcome(texts)[1].in_words() == "40.0 ± 2.2 ml"
