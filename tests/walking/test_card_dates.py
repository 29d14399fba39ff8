"""What the dates on a card mean for a walk: ages that answer a check, alarms past their date, what is due."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Finding, Situation
from diagnose.walking.carded import AGES, alarm_ended, findings_ahead, overdue, years_since
from diagnose.walking.views import Stopped
from tests.walking.carded_walks import DAY, TODAY, begun


@pytest.mark.parametrize(
    ("made", "answer"),
    [("2021-03-02", "newer"), ("2021-03-01", "older"), ("2015-01-01", "older"), ("2026-02-28", "newer")],
)
def test_the_age_of_the_battery_answers_the_check_that_only_asks_for_it(made, answer):
    tree = Library().tree("engine-no-crank")
    card = VehicleCard(dates={"starter-battery": date.fromisoformat(made)})
    assert findings_ahead(tree, card, TODAY) == (Finding("battery-age", answer),)


@pytest.mark.parametrize(
    ("code", "answer"), [("2020-03-02", "young"), ("2020-03-01", "older"), ("2016-03-01", "spent")]
)
def test_the_date_code_of_the_tyres_answers_the_check_that_asks_for_it(code, answer):
    tree = Library().tree("tyres-soft-old")
    card = VehicleCard(dates={"tyres": date.fromisoformat(code)})
    assert findings_ahead(tree, card, TODAY) == (Finding("date-code", answer),)


def test_a_young_leisure_battery_is_asked_about_since_it_may_have_been_left_flat():
    tree = Library().tree("leisure-battery-weak")
    young, old = (VehicleCard(dates={"leisure-battery": date(year, 1, 1)}) for year in (2024, 2015))
    assert findings_ahead(tree, young, TODAY) == ()
    assert findings_ahead(tree, old, TODAY) == (Finding("battery-age", "worn"),)


@pytest.mark.parametrize(
    ("dates", "answer"),
    [
        ({"alarm": TODAY - DAY}, "past"),
        ({"gas-alarm": TODAY - DAY}, "past"),
        ({"alarm": TODAY - DAY, "gas-alarm": TODAY - DAY}, "past"),
        ({"alarm": TODAY, "gas-alarm": TODAY}, "ahead"),  # the end date itself still holds
        ({"alarm": TODAY}, None),  # another alarm may be past its date
        ({"alarm": TODAY - DAY, "gas-alarm": TODAY}, None),
        ({"gas-hose": TODAY - DAY}, None),
    ],
)
def test_the_end_date_of_an_alarm_answers_where_every_alarm_on_the_card_agrees(dates, answer):
    tree = Library().tree("alarm-sounded-earlier")
    found = findings_ahead(tree, VehicleCard(dates=dates), TODAY)
    assert found == ((Finding("end-date", answer),) if answer else ())
    assert findings_ahead(replace(tree, shipped=False), VehicleCard(dates=dates), TODAY) == ()


def test_an_alarm_past_its_date_makes_its_age_likelier_than_its_cell():
    tree = Library().tree("alarm-sounded-earlier")
    model = build_model(tree, "owner")
    chirped = {"what-was-heard": Finding("what-was-heard", "chirp")}
    shares = {}
    for when in (TODAY - DAY, None):
        card = VehicleCard(dates={"alarm": when} if when else {})
        ahead = {finding.check: finding for finding in findings_ahead(tree, card, TODAY)}
        shares[when] = {each.cause: each.share for each in ranking(model, Situation(chirped | ahead))}
    assert shares[None]["cell-low"] > shares[None]["past-its-date"]
    assert shares[TODAY - DAY]["past-its-date"] > shares[TODAY - DAY]["cell-low"]


def test_an_alarm_past_its_date_is_said_at_its_danger_question_and_answers_nothing():
    card = VehicleCard(dates={"alarm": date(2026, 2, 28)})
    walk, journal = begun(card=card, alarm_ended=alarm_ended(card, TODAY))
    smell = walk.view()
    assert "By your card" not in smell.how
    view = walk.answer("no")
    assert view.check == "co-alarm"
    assert view.how.endswith(
        "By your card the alarm's end date was 28 February 2026. An alarm past its date counts as none: "
        "if all are well, answer: none fitted."
    )
    assert [line.subject for line in journal.lines if line.kind == "finding"] == ["smell-of-gas"]
    assert isinstance(walk.answer("sounds-or-ill"), Stopped)


def test_an_alarm_that_holds_or_is_not_on_the_card_is_not_spoken_of():
    for dates in ({}, {"alarm": TODAY}, {"gas-alarm": TODAY - DAY}):
        assert alarm_ended(VehicleCard(dates=dates), TODAY) == ""
    assert alarm_ended(None, TODAY) == ""


def test_an_age_answers_nothing_where_the_check_may_mean_something_else():
    tree = Library().tree("engine-no-crank")
    starter = VehicleCard(dates={"starter-battery": date(2015, 1, 1)})
    leisure = VehicleCard(dates={"leisure-battery": date(2015, 1, 1)})
    assert findings_ahead(tree, leisure, TODAY) == ()
    assert findings_ahead(replace(tree, shipped=False), starter, TODAY) == ()
    assert findings_ahead(replace(tree, id="my-own"), starter, TODAY) == ()
    asked = tree.checks["battery-age"]
    turned = replace(asked, answers=tuple(replace(each, id=f"{each.id}-one") for each in asked.answers))
    assert findings_ahead(replace(tree, checks={**tree.checks, "battery-age": turned}), starter, TODAY) == ()
    stopping = replace(asked, stop_on=frozenset({"older"}))
    assert (
        findings_ahead(replace(tree, checks={**tree.checks, "battery-age": stopping}), starter, TODAY) == ()
    )


def test_every_age_is_of_a_date_that_a_card_may_hold():
    assert AGES
    assert {age.date for age in AGES} <= set(DATES)
    for age in AGES:
        check = Library().tree(age.tree).checks[age.check]
        assert {answer for _, answer in age.answers} <= set(check.answer_ids()) - check.stop_on
        assert [years for years, _ in age.answers] == sorted((y for y, _ in age.answers), reverse=True)


@pytest.mark.parametrize(
    ("id", "day", "last_good", "first_due", "told"),
    [
        # Five years for a hose and ten for tyres are common practice, no source.
        (
            "gas-hose",
            "2020-06-15",
            "2025-06-14",
            "2025-06-15",
            "The gas hose is 5 years old: have it changed",
        ),
        ("tyres", "2016-02-29", "2026-02-28", "2026-03-01", "The tyres are 10 years old: have them changed"),
        (
            "alarm",
            "2025-03-31",
            "2025-03-31",
            "2025-04-01",
            "had its end date on 31 March 2025: fit a new one",
        ),
        ("gas-check", "2025-01-10", "2026-01-09", "2026-01-10", "The last gas check was 1 year ago or more"),
        (
            "mains-check",
            "2020-05-05",
            "2023-05-04",
            "2023-05-05",
            "The last mains check was 3 years ago or more",
        ),
        (
            "habitation-check",
            "2024-01-01",
            "2024-12-31",
            "2025-01-01",
            "The last habitation check was 1 year",
        ),
    ],
)
def test_what_is_due_is_said_from_its_day_on_and_not_before(id, day, last_good, first_due, told):
    card = VehicleCard(dates={id: date.fromisoformat(day)})
    assert overdue(card, date.fromisoformat(last_good)) == ()
    (said,) = overdue(card, date.fromisoformat(first_due))
    assert said.of == id
    assert said.day == date.fromisoformat(day)
    assert told in said.says


def test_what_was_overdue_long_ago_is_told_with_its_age():
    card = VehicleCard(dates={"gas-hose": date(2020, 1, 1)})
    says = [due.says for due in overdue(card, TODAY)]
    assert says == ["The gas hose is 6 years old: have it changed by a gas engineer."]


def test_the_age_of_a_battery_is_never_due():
    assert overdue(VehicleCard(dates={"leisure-battery": date(1990, 1, 1)}), TODAY) == ()


def test_years_are_whole_years():
    assert years_since(date(2020, 2, 29), date(2021, 2, 28)) == 0
    assert years_since(date(2020, 2, 29), date(2021, 3, 1)) == 1
    assert years_since(date(2020, 3, 1), date(2026, 3, 1)) == 6
