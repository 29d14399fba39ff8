"""Facts of the vehicle: asked once after the danger questions, and a tree for other vehicles says so."""

from __future__ import annotations

import pytest

from diagnose.terms import Finding
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.readings import BadReading
from diagnose.walking.views import NOT_CHECKED, OTHER_LEADS, HandedOver, NotForThis, Question, Referred
from diagnose.walking.walk import NotNow, Setting, Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions


def begun(tree=None, **more):
    tree = tree or heater()
    journal = MemoryJournal()
    return Walk.begin(tree, Order(tree), journal, HandClock(), **more), journal


def test_a_fact_of_the_card_is_not_asked():
    walk, _ = begun(facts=[Finding("heater-fuel", "gas")])
    walk.answer("no")
    assert walk.answer("quiet").check == "hob"


def test_a_fact_that_does_not_fit_ends_the_walk_plainly():
    walk, journal = begun()
    walk.answer("no")
    walk.answer("quiet")
    end = walk.answer("diesel")
    assert isinstance(end, NotForThis)
    assert (end.fits, end.has) == (("Gas",), "Diesel")
    assert journal.state == "left-off"
    assert walk.back().check == "heater-fuel"
    assert journal.state == "open"


def test_a_fact_that_nobody_knows_does_not_end_the_walk():
    walk, _ = begun()
    walk.answer("no")
    walk.answer("quiet")
    assert walk.not_sure().check == "hob"


def test_facts_of_the_card_are_no_answers_to_go_back_over():
    walk, _ = begun(facts=[Finding("heater-fuel", "gas")])
    assert walk.view().can_go_back is False
    with pytest.raises(NotNow, match="nothing to go back to"):
        walk.back()


def test_what_a_tree_does_not_know_is_passed_over_at_the_start():
    walk, journal = begun(
        findings=[Finding("fridge", "cold"), Finding("hob", "purple")], tried={"gone": "not-cured"}
    )
    assert walk.situation.findings == {}
    assert [line.kind for line in journal.lines] == ["shown"]


def test_what_was_tried_before_is_not_offered_again():
    walk, _ = begun(tried={"empty": "not-cured"})
    through_the_danger_questions(walk)
    for answer in ("none", "ticks", "good"):
        walk.answer(answer)
    assert walk.view().remedy == "shut"


def test_a_tree_from_elsewhere_says_on_every_screen_that_nobody_checked_it():
    walk, _ = begun(heater(shipped=False))
    assert NOT_CHECKED in walk.view().notices
    for answer in ("no", "quiet", "gas", "none"):
        assert NOT_CHECKED in walk.answer(answer).notices
    assert NOT_CHECKED in walk.danger().notices


def test_when_something_unlisted_leads_it_is_said_before_the_next_step_and_at_the_end():
    class Unlisted(Order):
        def ranking(self, situation):
            return tuple(sorted(super().ranking(situation), key=lambda each: each.cause != "not-listed"))

    tree = heater()
    walk = Walk.begin(tree, Unlisted(tree), MemoryJournal(), HandClock())
    assert OTHER_LEADS not in walk.view().notices
    assert OTHER_LEADS in through_the_danger_questions(walk).notices
    for answer in ("none", "ticks", "good", "could-not", "no", "could-not", "no", "could-not"):
        walk.answer(answer)
    assert isinstance(walk.view(), Referred)
    assert OTHER_LEADS in walk.view().notices


def test_a_volunteered_finding_counts_and_is_not_asked():
    walk, journal = begun()
    through_the_danger_questions(walk)
    walk.volunteer("volts", 11.0)
    assert walk.situation.findings["volts"].answer == "low"
    assert journal.lines[-1].ahead
    walk.answer("none")
    assert walk.answer("ticks").remedy == "empty"


def test_a_volunteered_answer_to_the_question_at_hand_is_an_answer():
    walk, journal = begun()
    through_the_danger_questions(walk)
    assert walk.volunteer("hob", "none").check == "start"
    assert not journal.lines[-1].ahead


def test_only_what_the_tree_knows_can_be_volunteered():
    walk, _ = begun()
    through_the_danger_questions(walk)
    with pytest.raises(NotNow, match='no check "fridge"'):
        walk.volunteer("fridge", "cold")
    with pytest.raises(NotNow, match="nothing, ticks"):
        walk.volunteer("start", "bang")
    with pytest.raises(BadReading, match="between 0 and 16 V"):
        walk.volunteer("volts", 99.0)
    assert walk.view().check == "hob"


def test_a_reading_outside_its_range_is_refused_and_asked_again():
    walk, journal = begun()
    through_the_danger_questions(walk)
    walk.answer("none")
    walk.answer("ticks")
    before = len(journal.lines)
    with pytest.raises(BadReading, match="between 0 and 16 V"):
        walk.reading(17)
    with pytest.raises(BadReading, match="above zero"):
        walk.reading(12, 0)
    with pytest.raises(BadReading):
        walk.reading(float("nan"))
    assert (walk.view().check, len(journal.lines)) == ("volts", before)


def test_a_reading_is_kept_with_its_band_and_its_uncertainty():
    walk, _ = begun()
    through_the_danger_questions(walk)
    walk.answer("none")
    walk.answer("ticks")
    walk.reading(11.5)
    assert walk.situation.findings["volts"] == Finding("volts", "good", 11.5, 0.15)


def test_the_whereabouts_of_a_part_come_from_the_vehicles_card():
    from dataclasses import replace

    tree = heater()
    checks = dict(tree.checks) | {"hob": replace(tree.checks["hob"], part="hob-tap", needs=("smell",))}
    walk, _ = begun(replace(tree, checks=checks), setting=Setting(whereabouts={"hob-tap": "Under the sink"}))
    view = through_the_danger_questions(walk)
    assert isinstance(view, Question)
    assert (view.where.part, view.where.whereabouts, view.needs) == ("hob-tap", "Under the sink", ("smell",))


def test_another_tree_that_knows_better_is_handed_what_it_may_take_over():
    from diagnose.terms import Remedy, Step
    from tests.walking.small_trees import cause

    tree = heater()
    events = dict(tree.events) | {"board": cause("board", 15, Remedy("see", "habitation-dead"), frozenset())}
    tree = heater(events=events)
    planner = Order(tree, (Step("check", "hob"), Step("handover", "habitation-dead")))
    journal = MemoryJournal()
    walk = Walk.begin(tree, planner, journal, HandClock())
    through_the_danger_questions(walk)
    end = walk.answer("none")
    assert isinstance(end, HandedOver)
    assert (end.tree, end.says) == ("habitation-dead", "It is the board")
    assert {finding.check for finding in end.carry} == {"heater-fuel", "hob"}
    assert (journal.state, journal.referral) == ("referred", "habitation-dead")


def test_why_names_the_causes_in_words():
    walk, _ = begun()
    with pytest.raises(NotNow, match="for safety"):
        walk.why()
    through_the_danger_questions(walk)
    why = walk.why()
    assert (why.saves, why.separates) == (4.0, ("It is the empty", "It is the fuse"))
    assert why.sure is not None
    assert why.sure.cause == "empty"
