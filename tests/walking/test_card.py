"""What a card means for a walk: facts, instruments, whereabouts, ages, what is due, whom to call."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Finding, Reading, Remedy, Situation
from diagnose.walking.carded import AGES, alarm_ended, findings_ahead, fitted, overdue, years_since
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.scene import Setting
from diagnose.walking.views import Question, Referred, Stopped, Unsure
from diagnose.walking.walk import Walk
from tests.reasoning.plain_bayes import belief, plainly
from tests.walking.small_trees import HandClock, Order, cause, heater

TODAY, DAY = date(2026, 3, 1), timedelta(days=1)
GAS = Finding("heater-fuel", "gas")


def begun(tree=None, card=None, **setting):
    tree = fitted(tree or heater(), card)
    journal = MemoryJournal()
    ahead = findings_ahead(tree, card, TODAY)
    walk = Walk.begin(tree, Order(tree), journal, HandClock(), setting=Setting(**setting), facts=ahead)
    return walk, journal


def test_a_fact_on_the_card_is_not_asked_and_stands_ahead_in_the_journal():
    walk, journal = begun(card=VehicleCard(facts=(GAS,)))
    walk.answer("no")
    view = walk.answer("quiet")
    assert isinstance(view, Question)
    assert view.check == "hob"
    assert [(line.subject, line.answer) for line in journal.lines if line.ahead] == [("heater-fuel", "gas")]


def test_a_fact_that_the_tree_does_not_use_is_no_line_of_the_case():
    tree = heater()
    fact = replace(tree.facts["heater-fuel"], id="build")
    tree = replace(tree, facts={**tree.facts, "build": fact})
    card = VehicleCard(facts=(Finding("build", "gas"), GAS))
    assert findings_ahead(tree, card, TODAY) == (GAS,)
    assert findings_ahead(tree, card, TODAY, all_facts=True) == card.facts


def test_a_card_never_answers_a_danger_question():
    for id in Library().ids():
        tree = Library().tree(id)
        card = VehicleCard(
            facts=tuple(Finding(first, tree.checks[first].answer_ids()[0]) for first in tree.ask_first),
            dates=dict.fromkeys(DATES, date(2001, 1, 1)),
        )
        ahead = findings_ahead(tree, card, TODAY, all_facts=True)
        assert not {finding.check for finding in ahead} & set(tree.ask_first)


def test_with_no_card_a_walk_is_as_it_was():
    tree = heater()
    assert fitted(tree, None) is tree
    assert fitted(tree, VehicleCard()) is tree
    assert findings_ahead(tree, None, TODAY) == ()
    assert overdue(None, TODAY) == ()


def test_a_typed_reading_has_the_uncertainty_of_the_persons_own_instrument():
    walk, _ = begun(card=VehicleCard(facts=(GAS,), instruments={"V": 0.5}))
    walk.answer("no")
    walk.answer("quiet")
    walk.volunteer("volts", 11.5)
    assert walk.situation.findings["volts"] == Finding("volts", "good", 11.5, 0.5)
    walk.volunteer("volts", 11.5, 0.01)
    assert walk.situation.findings["volts"].uncertainty == 0.01


@pytest.mark.parametrize("value", [11.8, 12.35, 12.45, 12.7])
@pytest.mark.parametrize("own", [0.01, 0.4])
def test_the_own_instrument_changes_the_ranking_as_plain_bayes_says(value, own):
    # Held against Bayes' rule written down apart from the package, with virtual evidence for the reading.
    tree = Library().tree("engine-no-crank")
    mine = fitted(tree, VehicleCard(instruments={"V": own}))
    reading = mine.checks["rest-volts"].reading
    assert reading is not None
    assert reading.uncertainty == own
    finding = Finding("rest-volts", None, value, reading.uncertainty)
    found = {
        line.cause: line.share for line in ranking(build_model(mine), Situation({"rest-volts": finding}))
    }
    plain = plainly(tree)
    expected = belief(plain, Situation({"rest-volts": finding}))
    for suspect, share in zip(plain.suspects, expected, strict=True):
        assert found[suspect.id] == pytest.approx(share, abs=1e-9)
    usual = tree.checks["rest-volts"].reading
    assert usual is not None
    usually = belief(plain, Situation({"rest-volts": replace(finding, uncertainty=usual.uncertainty)}))
    if value in (12.35, 12.45):
        assert max(abs(a - b) for a, b in zip(expected, usually, strict=True)) > 1e-4


def test_where_a_part_is_shows_with_the_question():
    tree = heater()
    tree = replace(tree, checks={**tree.checks, "hob": replace(tree.checks["hob"], part="hob-tap")})
    walk, _ = begun(tree, VehicleCard(facts=(GAS,)), whereabouts={"hob-tap": "under the sink, red tap"})
    walk.answer("no")
    view = walk.answer("quiet")
    assert isinstance(view, Question)
    assert view.where.whereabouts == "under the sink, red tap"
    from diagnose.terminal.questions import question_page

    assert "Hob tap: under the sink, red tap." in " ".join(question_page(view, 80).text().split())


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


def test_whoever_cannot_smell_is_told_to_ask_somebody_and_not_sure_stops_as_ever():
    walk, _ = begun(cannot=frozenset({"smell"}))
    view = walk.view()
    assert isinstance(view, Question)
    assert view.check == "smell-of-gas"
    assert "you cannot smell well: ask somebody who can. If nobody is there, answer: not sure." in view.how
    unsure = walk.answer("not-sure")
    assert isinstance(unsure, Unsure)
    assert "ask somebody who can" in unsure.how
    stopped = walk.answer("not-sure")
    assert isinstance(stopped, Stopped)
    assert [each.id for each in stopped.referrals] == ["gas-escape"]


def test_whoever_can_smell_is_told_nothing_of_it():
    walk, _ = begun(cannot=frozenset({"kneel"}))
    view = walk.view()
    assert isinstance(view, Question)
    assert view.how == "Look."


def test_the_number_on_the_card_stands_with_the_referral_and_the_emergency_number_stays():
    tree = heater()
    own = {"gas-engineer": "01632 960001", "gas-escape": "01632 960002"}
    walk = Walk.begin(
        tree,
        Order(tree, (walk_end := Order(tree).order[-1],)),
        MemoryJournal(),
        HandClock(),
        setting=Setting(own_numbers=own, numbers=("112", "999")),
        facts=(GAS,),
    )
    assert walk_end.of == "gas-engineer"
    walk.answer("no")
    end = walk.answer("quiet")
    assert isinstance(end, Referred)
    from diagnose.terminal.endings import referred_end, stopped_end

    page = referred_end(end, 80).text()
    assert "The number on your card: 01632 960001" in page
    assert "960002" not in page
    assert "call 112 or 999" in page
    stopped = begun(own_numbers=own, numbers=("112", "999"))[0].danger()
    assert isinstance(stopped, Stopped)
    page = stopped_end(stopped, 80).text()
    assert page.index("call 112") < page.index("The number on your card: 01632 960002")
    assert "Emergency number: 112 or 999." in page


def test_what_somebody_cannot_do_is_told_among_what_was_left_alone():
    tree = heater()
    change = cause("empty", 40, Remedy("do", "Change it", "owner", "controls", 10, needs=("lift",)))
    tree = heater(events={**tree.events, "empty": change})
    walk = Walk.begin(
        tree,
        Order(tree, (Order(tree).order[-1],)),
        MemoryJournal(),
        HandClock(),
        setting=Setting(cannot=frozenset({"lift"})),
        facts=(GAS,),
    )
    walk.answer("no")
    end = walk.answer("quiet")
    assert isinstance(end, Referred)
    assert {each.says: each.why for each in end.left_alone}[
        "It is the empty"
    ] == "needs somebody who can lift"


def test_the_country_brings_its_units_where_a_reading_can_be_taken_in_them():
    tree = heater()
    bar = replace(tree.checks["volts"], reading=Reading("bar", 0, 6, 0.1))
    tree = replace(tree, checks={**tree.checks, "volts": bar})
    order = Order(tree, tuple(step for step in Order(tree).order if step.of == "volts"))
    walk = Walk.begin(
        tree, order, MemoryJournal(), HandClock(), setting=Setting(units=("psi",)), facts=(GAS,)
    )
    walk.answer("no")
    view = walk.answer("quiet")
    assert isinstance(view, Question)
    assert view.also_read_in == ("psi",)
    from diagnose.terminal.questions import question_page

    assert "such as 3 bar or 44 psi. It lies" in " ".join(question_page(view, 80).text().split())


def test_of_the_countries_only_the_united_kingdom_reads_tyres_in_psi():
    countries = Library().common().countries
    assert {id: country.units for id, country in countries.items() if country.units} == {"uk": ("psi",)}
