"""Tyres: cold or leak, age, load."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.gauges import tyre_dates, tyre_table, tyres
from diagnose.gauges.gauge import NotPossible
from diagnose.gauges.measured import Measured
from diagnose.gauges.quantities import BadQuantity
from diagnose.gauges.register import gauge

WEATHER, BAR = st.floats(-40, 50), st.floats(0.5, 9)


def told(name, **texts):
    return gauge(name).outcome(texts)[1]


@given(BAR, WEATHER, WEATHER)
def test_going_there_and_back_again_leaves_the_pressure(bar, then, now):
    there = tyres.pressure_at(bar, then, now)
    assert tyres.pressure_at(there, now, then) == pytest.approx(bar)
    assert (there < bar) == (now < then) or there == pytest.approx(bar)


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        ("3.27 bar", "The change of temperature alone explains it"),
        ("3.2 bar", "The change of temperature alone explains it"),
        ("2.9 bar", "has lost air"),
        ("1.2 bar", "Nearly flat: it is not driven on, and nobody here pumps it up"),
        ("0 bar", "Nearly flat"),
        ("3.8 bar", "holds more than it was set to"),
    ],
)
def test_what_is_missing_beyond_the_cold_is_a_leak(reading, says):
    found = told("tyre-pressure", pressure="3.5 bar", then="20 C", now="5 C", reading=reading)
    assert says in found.meaning


@given(st.floats(0.5, 9), WEATHER, WEATHER, st.floats(0, 10))
def test_no_tyre_that_lacks_air_is_called_whole(bar, then, now, reading):
    assume(tyres.pressure_at(bar, then, now) > 0)
    given_ = (Measured(bar, 0.05), Measured(then, 2.0), Measured(now, 2.0), Measured(reading, 0.05))
    found = tyres.tyre_pressure(*given_)
    missing = found.also[0].measured
    if missing.value > 2 * missing.uncertainty:
        assert "lost air" in found.meaning or "Nearly flat" in found.meaning


def test_the_plate_is_pumped_to_whatever_the_gauge_says():
    notes = told("tyre-pressure", pressure="3.5 bar", then="20 C", now="5 C").notes
    assert any("pump to it before the journey" in note for note in notes)


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("0016", "2016 has no week 00, only 01 to 52"),
        ("5416", "2016 has no week 54"),
        ("5321", "2021 has no week 53, only 01 to 52"),
        ("2016", "still to come"),  # week 20 of 2016 would be right; seen from early that year it is not
        ("9916", "2016 has no week 99"),
        ("418", "three figures, as before 2000"),
        ("13165", "four figures, week and year"),
        ("abcd", "four figures, week and year"),
        ("", "four figures, week and year"),
        ("-316", "four figures, week and year"),
        ("١٣١٦", "four figures, week and year"),
    ],
)
def test_a_date_code_that_cannot_be_is_refused(code, says):
    with pytest.raises(NotPossible, match=says):
        told("tyre-age", code=code, today="2016-02-01")


def test_a_week_to_come_is_refused_with_the_day_it_was_counted_to():
    with pytest.raises(NotPossible, match="week 13 of 2031, which is still to come on 2026-03-25"):
        told("tyre-age", code="1331", today="2026-03-25")


@pytest.mark.parametrize("code", ["1316", "13/16", "13 16", " 1316 ", "13-16", "13.16"])
def test_a_date_code_may_be_parted(code):
    assert "Made in week 13 of 2016" in told("tyre-age", code=code, today="2020-01-01").meaning


def test_without_a_day_it_counts_to_this_machines(monkeypatch):
    from diagnose.gauges import days

    class Then(date):
        @classmethod
        def today(cls):
            return cls(2021, 3, 28)

    monkeypatch.setattr(days, "date", Then)
    found = told("tyre-age", code="1316")
    assert found.measured.value == pytest.approx(5, abs=0.02)
    assert any("Counted to 2021-03-28" in note for note in found.notes)


@pytest.mark.parametrize("day", ["25.3.2026", "tomorrow", "2026-02-30", ""])
def test_a_day_that_is_none_is_refused(day):
    with pytest.raises(BadQuantity, match=r"today: .* is no day; write it like 2026-03-25"):
        told("tyre-age", code="1316", today=day)


@pytest.mark.parametrize(
    ("today", "change"),
    [("2026-06-01", True), ("2026-03-25", True), ("2026-03-01", False), ("2018-01-01", False)],
)
def test_a_tyre_of_ten_years_is_changed_also_where_a_week_is_in_doubt(today, change):
    assert (
        "change it, however good it looks" in told("tyre-age", code="1316", today=today).meaning
    ) == change


@given(st.integers(2000, 2099), st.integers(1, 53))
def test_every_week_begins_within_a_week_of_both_counts(year, week):
    assume(week <= tyre_dates.weeks_of(year))
    made = tyre_dates.made_on(week, year)
    assert made.year == year
    if week <= date(year, 12, 28).isocalendar().week:
        assert abs((made - date.fromisocalendar(year, week, 1)).days) < 7


@given(st.floats(100, 9000), st.integers(60, 129))
def test_a_higher_index_carries_more(axle, index):
    assert tyre_table.load_share(axle, 2, index + 1) < tyre_table.load_share(axle, 2, index)


@pytest.mark.parametrize("index", [59, 131])
def test_the_table_ends_where_it_ends(index):
    with pytest.raises(IndexError):
        tyre_table.tyre_load(index)


@pytest.mark.parametrize(
    ("axle", "says"),
    [
        ("1500 kg", "Within what the tyres may carry"),
        ("1900 kg", "by a little: weigh each side"),
        ("2040 kg", "At the limit"),
        ("2061 kg", "Overloaded: it is not driven"),
        ("3 t", "Overloaded: it is not driven"),
    ],
)
def test_an_axle_is_judged_against_two_tyres_of_that_index(axle, says):
    assert says in told("tyre-load", axle=axle, index="109").meaning


@given(st.floats(50, 9000), st.floats(0, 100), st.integers(60, 130))
def test_no_axle_over_its_tyres_is_called_within(axle, doubt, index):
    found = tyres.tyre_load_gauge(Measured(axle, doubt), str(index), "single")
    if axle > 2 * tyre_table.tyre_load(index):
        assert found.meaning.startswith("Overloaded")
    assert found.measured.value == pytest.approx(50 * axle / tyre_table.tyre_load(index))


def test_twin_wheels_go_by_the_second_figure_and_need_it():
    found = told("tyre-load", axle="2.4 t", index="104/102R", wheels="twin")
    assert found.also[0].measured.value == 4 * tyre_table.tyre_load(102)
    with pytest.raises(NotPossible, match="Write it like 109/107"):
        told("tyre-load", axle="2.4 t", index="104", wheels="twin")


@pytest.mark.parametrize(
    ("name", "texts", "reason"),
    [
        ("tyre-load", {"axle": "1900 kg", "index": "45"}, "outside this gauge's table, 60 to 130"),
        ("tyre-load", {"axle": "1900 kg", "index": "109/200"}, "200 is outside"),
        ("tyre-load", {"axle": "1900 kg", "index": "R16"}, "no load index"),
        ("tyre-load", {"axle": "-5 kg", "index": "109"}, "no axle weighs so little"),
        ("tyre-load", {"axle": "40 t", "index": "109"}, "no axle of a leisure vehicle"),
        ("tyre-pressure", {"pressure": "-1 bar", "then": "20", "now": "5"}, "a gauge on a tyre with air"),
        ("tyre-pressure", {"pressure": "50", "then": "20", "now": "5"}, "is it in psi"),
        ("tyre-pressure", {"pressure": "3.5", "then": "-300", "now": "5"}, "no tyre stands in air like that"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(name, texts, reason):
    with pytest.raises(NotPossible, match=reason):
        gauge(name).outcome(texts)
