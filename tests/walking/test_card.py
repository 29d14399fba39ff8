"""What a card means for a walk: facts, instruments, whereabouts, units, whom to call."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Finding, Reading, Remedy, Situation
from diagnose.walking.carded import findings_ahead, fitted, overdue
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.scene import Setting
from diagnose.walking.views import Question, Referred, Stopped, Unsure
from diagnose.walking.walk import Walk
from tests.reasoning.plain_bayes import belief, plainly
from tests.walking.carded_walks import GAS, TODAY, begun
from tests.walking.small_trees import HandClock, Order, cause, heater


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
