"""Load indices, date codes and cold tyres against published tables and laws."""

from __future__ import annotations

from datetime import date

import pytest

from diagnose.gauges import tyre_dates, tyre_table, tyres
from diagnose.gauges.register import gauge
from tests.published.coolprop import properties

# Load index -> kg, ISO 4000-1 and the public tables that repeat it: 71 to 110 read second-hand on one page,
# 60 to 70 and 111 to 119 on another (whose 62 is misprinted there), 120 to 130 from memory.
PRINTED = """
60 250  61 257  62 265  63 272  64 280  65 290  66 300  67 307  68 315  69 325
70 335  71 345  72 355  73 365  74 375  75 387  76 400  77 412  78 425  79 437
80 450  81 462  82 475  83 487  84 500  85 515  86 530  87 545  88 560  89 580
90 600  91 615  92 630  93 650  94 670  95 690  96 710  97 730  98 750  99 775
100 800  101 825  102 850  103 875  104 900  105 925  106 950  107 975  108 1000  109 1030
110 1060  111 1090  112 1120  113 1150  114 1180  115 1215  116 1250  117 1285  118 1320  119 1360
120 1400  121 1450  122 1500  123 1550  124 1600  125 1650  126 1700  127 1750  128 1800  129 1850
130 1900
"""


def printed():
    figures = [int(word) for word in PRINTED.split()]
    return dict(zip(figures[::2], figures[1::2], strict=True))


def test_every_load_index_is_the_printed_one():
    assert {index: tyre_table.tyre_load(index) for index in range(60, 131)} == printed()


def test_loads_follow_the_series_of_preferred_numbers_they_were_rounded_from():
    # ISO 3, series R80: eighty steps to the tenfold, from 45 kg at index nought. No rounding is over
    # 1.75 %, under two thirds of a step..
    for index in range(60, 131):
        assert tyre_table.tyre_load(index) == pytest.approx(45 * 10 ** (index / 80), rel=0.0175)


def test_loads_from_index_120_are_ten_times_those_eighty_steps_lower():
    # Indices 40 to 50 of the same public table: 140 145 150 155 160 165 170 175 180 185 190 kg.
    low = [140, 145, 150, 155, 160, 165, 170, 175, 180, 185, 190]
    assert [tyre_table.tyre_load(index) for index in range(120, 131)] == [10 * load for load in low]


def test_the_date_code_of_the_tyre_pages():
    # Public tyre pages, second-hand: 1316 is week 13 of 2016, late in March.
    made = tyre_dates.made_on(13, 2016)
    assert made.isocalendar()[:2] in [(2016, 12), (2016, 13)]
    assert tyre_dates.years_between(made, date(2026, 3, 25)) == pytest.approx(10, abs=0.02)


def test_only_some_years_have_a_week_53():
    # ISO 8601: years with 53 weeks start on a Thursday, or are leap years that start on a Wednesday. 53
    # Sundays are in years that start on one, or leap years that start on a Saturday.
    long_years = {year for year in range(2000, 2030) if tyre_dates.weeks_of(year) == 53}
    assert long_years == {2000, 2004, 2006, 2009, 2012, 2015, 2017, 2020, 2023, 2026, 2028}


@pytest.mark.parametrize(("bar", "then", "now"), [(3.5, 20, 5), (5.5, 25, -10), (2.0, 0, 35)])
def test_cold_air_in_a_tyre_behaves_as_the_reference_library_says(bar, then, now):
    # CoolProp's real air at the same density: the gas law is good to two hundredths of a bar.
    density = properties("D", "T", then + 273.15, "P", (bar + 1.01325) * 1e5, "Air")
    shown = properties("P", "T", now + 273.15, "D", density, "Air") / 1e5 - 1.01325
    assert tyres.pressure_at(bar, then, now) == pytest.approx(shown, abs=0.02)


def test_the_worked_example_of_a_cold_tyre():
    # Worked beforehand: 3.5 ± 0.05 bar set at 20 °C shows 3.27 ± 0.06 bar at 5 ± 2 °C.
    for then in ("20 ± 0 °C", "20 ± 2 °C"):
        found = gauge("tyre-pressure").outcome(
            {"pressure": "3.5 ± 0.05 bar", "then": then, "now": "5 ± 2 °C"}
        )[1]
        assert (round(found.measured.value, 2), round(found.measured.uncertainty, 2)) == (3.27, 0.06)


def test_ten_years_are_when_a_tyre_is_changed():
    # Common practice, no source.
    assert tyres.CHANGE_AFTER == 10
    assert "change it" in gauge("tyre-age").outcome({"code": "1316", "today": "2026-04-15"})[1].meaning
