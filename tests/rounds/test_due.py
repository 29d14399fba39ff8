"""Due days of a card: against tables made by hand, and month arithmetic against python-dateutil."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES, UK_2026
from diagnose.knowledge.card_values import date_of
from diagnose.knowledge.form import Flaws
from diagnose.knowledge.nodes import Scalar
from diagnose.knowledge.plain_yaml import compose
from diagnose.rounds.due import MATTERS, country_notes, due_dates, months_since, source_of
from diagnose.rounds.due_statements import due_as_json, due_statement, span
from diagnose.terms import Finding

TODAY = date(2026, 11, 29)
DAYS = st.dates(date(1950, 1, 1), date(2199, 12, 31))
CARDS = st.builds(
    VehicleCard,
    dates=st.dictionaries(st.sampled_from(list(DATES)), DAYS),
    country=st.sampled_from([None, "uk"]),
)


def only(of, written, today=TODAY):
    """How one date stands."""
    return next(due for due in due_dates(VehicleCard(dates={of: written}), today) if due.of == of)


# Counted by hand on a calendar; the terms of years are common practice, no source.
@pytest.mark.parametrize(
    ("of", "written", "day", "days", "over", "state"),
    [
        ("gas-hose", date(2022, 1, 9), date(2027, 1, 9), 41, False, "ahead"),
        ("gas-hose", date(2021, 11, 30), date(2026, 11, 30), 1, False, "ahead"),
        ("gas-hose", date(2021, 11, 29), date(2026, 11, 29), 0, True, "today"),
        ("gas-hose", date(2021, 11, 28), date(2026, 11, 28), -1, True, "overdue"),
        ("gas-check", date(2024, 3, 3), date(2025, 3, 3), -636, True, "overdue"),
        ("mains-check", date(2024, 2, 29), date(2027, 3, 1), 92, False, "ahead"),
        ("tyres", date(2016, 2, 29), date(2026, 3, 1), -273, True, "overdue"),
        ("alarm", date(2026, 11, 30), date(2026, 11, 30), 1, False, "ahead"),
        ("alarm", date(2026, 11, 29), date(2026, 11, 29), 0, False, "today"),
        ("alarm", date(2026, 11, 28), date(2026, 11, 28), -1, True, "overdue"),
    ],
)
def test_a_date_is_due_on_its_day(of, written, day, days, over, state):
    due = only(of, written)
    assert (due.day, due.days, due.over, due.state) == (day, days, over, state)


@given(DAYS, DAYS)
def test_years_are_added_as_dateutil_adds_them_but_for_the_29th_of_february(written, today):
    """dateutil takes the 28th of February where there is no 29th; here the years are over a day later."""
    for of, kind in DATES.items():
        due = only(of, written, today)
        if not kind.due:
            assert due.state == "never"
        elif kind.means == "ends":
            assert due.day == written
        else:
            expected = written + relativedelta(years=kind.years)
            short = (written.month, written.day) == (2, 29) and (expected.month, expected.day) == (2, 28)
            assert due.day == expected + relativedelta(days=1 if short else 0)


@given(DAYS, DAYS)
def test_whole_months_are_those_of_dateutil(one, other):
    day, today = sorted((one, other))
    gone = relativedelta(today, day)
    assert months_since(day, today) == gone.years * 12 + gone.months


# Counted by hand.
@pytest.mark.parametrize(
    ("day", "today", "months"),
    [
        (date(2025, 3, 3), date(2026, 11, 29), 20),
        (date(2025, 3, 3), date(2026, 11, 2), 19),
        (date(2025, 1, 31), date(2025, 2, 27), 0),
        (date(2025, 1, 31), date(2025, 2, 28), 1),
        (date(2024, 1, 31), date(2024, 2, 28), 0),
        (date(2024, 2, 29), date(2025, 2, 28), 12),
        (date(2025, 12, 31), date(2026, 1, 1), 0),
    ],
)
def test_whole_months(day, today, months):
    assert months_since(day, today) == months


@given(CARDS, DAYS)
def test_what_is_overdue_comes_first_then_by_day_then_what_is_unknown(card, today):
    dues = due_dates(card, today)
    assert {due.of for due in dues} == {*card.dates, *MATTERS}
    dated = [due for due in dues if due.day is not None]
    assert list(dues[: len(dated)]) == dated == sorted(dated, key=lambda due: due.day)
    states = [due.state for due in dues]
    order = ["overdue", "today", "ahead", "unknown", "never"]
    assert states == sorted(states, key=order.index)
    for due in dated:
        assert due.day == today + timedelta(days=due.days)
        assert due.over or due.days >= 0


def test_without_a_card_what_matters_is_unknown():
    dues = due_dates(None, TODAY)
    assert [due.of for due in dues] == ["gas-hose", "tyres", "alarm", "gas-alarm", "gas-check", "mains-check"]
    assert {due.state for due in dues} == {"unknown"}


def test_the_drivers_own_dates_can_be_left_out():
    card = VehicleCard(dates={"medical": TODAY, "licence": TODAY, "photo-card": TODAY, "alarm": TODAY})
    left = {due.of for due in due_dates(card, TODAY, driver=False)}
    assert left == set(MATTERS)


# Month-only dates: what was made counts from the first day, what ends holds to the last one.
@given(st.integers(1950, 2199), st.integers(1, 12))
def test_a_month_ends_on_its_last_day_and_begins_on_its_first(year, month):
    text = f"{year:04}-{month:02}"
    ends = date(year, month, monthrange(year, month)[1])  # the standard library's own calendar
    assert as_read("alarm", text) == (ends, [])
    assert as_read("gas-hose", text, date(2200, 1, 1)) == (date(year, month, 1), [])


def as_read(of, text, today=TODAY):
    """A date as the reader of cards takes it, and what it says against it."""
    root, found = compose(f'{of}: "{text}"', "card.yaml")
    assert not found
    key, node = root.pairs[0]
    assert isinstance(node, Scalar)
    flaws = Flaws("card.yaml")
    return date_of(of, DATES[of], node, key, today, flaws), [flaw.text for flaw in flaws.found]


@pytest.mark.parametrize(
    ("of", "text", "says"),
    [
        ("alarm", "2026-02-29", "a day of the calendar"),
        ("alarm", "2100-02-29", "a day of the calendar"),  # a year of a full century is no leap year
        ("alarm", "2026-13", "a day of the calendar"),
        ("alarm", "2026-00", "a day of the calendar"),
        ("gas-hose", "2021-13", "a day of the calendar"),
        ("alarm", "2026-00-01", "a day of the calendar"),
        ("alarm", "0026-01-01", "a day of the calendar"),
        ("gas-check", "2026-11-31", "a day of the calendar"),
        ("gas-check", "2026-11-30", "still to come"),
        ("gas-hose", "2026-12", "still to come"),
        ("tyres", "5426", "a week from 01 to 53"),
        ("tyres", "0027", "a week from 01 to 53"),
        ("tyres", "4926", "still to come"),
        ("gas-check", "29.11.2026", "a date such as 2021-06-30"),
        ("gas-check", "2026-11-29T10:00", "a date such as 2021-06-30"),
    ],
)
def test_a_date_that_cannot_be_or_is_still_to_come_is_a_flaw(of, text, says):
    day, flaws = as_read(of, text)
    assert day is None
    assert len(flaws) == 1
    assert says in flaws[0]


@pytest.mark.parametrize(
    ("of", "written", "says"),
    [
        ("gas-hose", date(2022, 1, 9), "Gas hose: due in 41 days, on 9 January 2027."),
        ("alarm", date(2026, 11, 30), "Carbon-monoxide alarm: due in 1 day, on 30 November 2026."),
        ("gas-check", date(2025, 11, 29), "Gas check: due today. Have it done by a gas engineer."),
        (
            "gas-check",
            date(2024, 3, 3),
            "Gas check: overdue since 3 March 2025, 20 months. Have it done by a gas engineer.",
        ),
        ("starter-battery", date(2020, 11, 29), "Starter battery: 6 years old; nothing is due."),
        ("starter-battery", date(2026, 1, 1), "Starter battery: under 1 year old; nothing is due."),
    ],
)
def test_a_date_in_a_sentence(of, written, says):
    assert due_statement(only(of, written), TODAY) == says


def test_an_unknown_date_says_where_it_is_found():
    for due in due_dates(None, TODAY):
        said = due_statement(due, TODAY)
        assert "unknown, no date is on the card. It" in said or "unknown, no date is on the card. The" in said


@pytest.mark.parametrize(
    ("day", "says"),
    [
        (date(2026, 11, 28), "1 day"),
        (date(2026, 10, 30), "30 days"),
        (date(2026, 10, 29), "1 month"),
        (date(2024, 12, 29), "23 months"),
        (date(2024, 11, 29), "2 years"),
        (date(2016, 3, 28), "10 years"),
    ],
)
def test_how_long_ago_in_words(day, says):
    assert span(day, TODAY) == says


def test_what_is_over_comes_first_then_what_is_next_then_the_unknown_and_last_what_is_never_due():
    dates = {
        "warranty": date(2027, 5, 1), "leisure-battery": date(2020, 1, 1), "tyres": date(2010, 1, 1),
        "gas-hose": date(2021, 11, 28), "gas-check": date(2026, 11, 1),
    }  # fmt: skip
    found = due_dates(VehicleCard(dates=dates), TODAY)
    assert [(due.of, due.state, due.over) for due in found] == [
        ("tyres", "overdue", True),
        ("gas-hose", "overdue", True),
        ("warranty", "ahead", False),
        ("gas-check", "ahead", False),
        *((of, "unknown", False) for of in DATES if of in ("alarm", "gas-alarm", "mains-check")),
        ("leisure-battery", "never", False),
    ]


# The United Kingdom's rule of 2026, from memory; the authority decides.
def test_rules_of_the_united_kingdom_are_told_there_alone_dated_and_left_to_the_authority():
    notes = country_notes(VehicleCard(country="uk"), TODAY)
    assert notes[0].startswith("United Kingdom, 2026, from memory, the authority decides.")
    assert any("3,500 kg" in note and "C1" in note and "until 70" in note for note in notes)
    assert any("car licence from before 1997 carries it" in note for note in notes)
    assert "The photo card of a licence is renewed every ten years." in notes
    assert 'Abroad the vehicle shows a "UK" sticker.' in notes
    for other in (None, VehicleCard(), VehicleCard(country="de"), VehicleCard(country="ie")):
        assert country_notes(other, TODAY) == ()


def test_a_light_vehicle_is_told_nothing_of_the_heavier_licence_and_a_later_year_doubts_the_rule():
    light = VehicleCard(country="uk", facts=(Finding("over-3500", "under"),))
    assert not any("3,500" in note for note in country_notes(light, TODAY))
    assert "may have changed" in country_notes(light, date(2027, 1, 1))[-1]
    assert not any("may have changed" in note for note in country_notes(light, date(2026, 12, 31)))


def test_the_source_of_a_drivers_date_is_the_united_kingdoms_only_there():
    medical = only("medical", TODAY)
    assert source_of(medical, "uk") == source_of(medical, None) == UK_2026
    assert "United Kingdom" not in source_of(medical, "fr")
    assert source_of(only("gas-hose", TODAY), "fr") == "common practice, no source"


def test_due_days_as_plain_values():
    told = due_as_json([only("gas-check", date(2024, 3, 3))], "uk", TODAY)
    assert told == [
        {
            "date": "gas-check",
            "on": "2024-03-03",
            "due": "2025-03-03",
            "days": -636,
            "state": "overdue",
            "over": True,
            "says": "Gas check: overdue since 3 March 2025, 20 months. Have it done by a gas engineer.",
            "source": "common practice, no source",
        }
    ]
