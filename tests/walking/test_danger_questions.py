"""The danger questions: before anything else, in order, without a default, and anew when they are too old."""

from __future__ import annotations

import pytest

from diagnose.terms import Finding
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.views import Question, Stopped, Unsure
from diagnose.walking.walk import NotNow, Walk
from tests.walking.small_trees import HandClock, Order, heater


def begun(**more):
    tree = heater()
    journal, clock = MemoryJournal(), HandClock()
    return Walk.begin(tree, Order(tree), journal, clock, **more), journal, clock


def through_the_danger_questions(walk):
    walk.answer("no")
    walk.answer("quiet")
    return walk.answer("gas")


def test_the_danger_questions_come_first_and_in_order():
    walk, _, _ = begun()
    first = walk.view()
    assert isinstance(first, Question)
    assert (first.check, first.ask_first) == ("smell-of-gas", True)
    second = walk.answer("no")
    assert (second.check, second.ask_first) == ("co-alarm", True)
    third = walk.answer("quiet")
    assert (third.check, third.ask_first, third.fact) == ("heater-fuel", False, True)


def test_nothing_is_reckoned_while_the_danger_questions_are_asked():
    class Silent(Order):
        def ranking(self, situation):
            raise AssertionError("a danger question must not wait for the arithmetic")

        next_step = ranking

    tree = heater()
    walk = Walk.begin(tree, Silent(tree), MemoryJournal(), HandClock(), route=lambda: 1 / 0)
    walk.answer("no")
    assert isinstance(walk.answer("sounds-or-ill"), Stopped)


def test_a_finding_given_ahead_does_not_stand_for_a_danger_question():
    walk, _, _ = begun(findings=[Finding("smell-of-gas", "no"), Finding("co-alarm", "quiet")])
    assert walk.view().check == "smell-of-gas"


def test_a_danger_answer_given_ahead_stops_at_once():
    walk, journal, _ = begun(findings=[Finding("co-alarm", "sounds-or-ill")])
    assert isinstance(walk.view(), Stopped)
    assert (journal.state, journal.referral) == ("stopped", "co-suspected")


def test_not_sure_at_a_danger_question_offers_help_once_and_then_stops():
    walk, journal, _ = begun()
    offer = walk.not_sure()
    assert isinstance(offer, Unsure)
    assert "torch" in offer.advice
    assert "ask somebody" in offer.advice
    stopped = walk.not_sure()
    assert isinstance(stopped, Stopped)
    assert [referral.id for referral in stopped.referrals] == ["gas-escape"]
    assert journal.state == "stopped"


def test_a_torch_may_settle_it():
    walk, _, _ = begun()
    walk.not_sure()
    assert walk.answer("no").check == "co-alarm"


def test_back_from_the_offer_of_help_leads_to_the_question():
    walk, _, _ = begun()
    walk.not_sure()
    assert isinstance(walk.back(), Question)
    assert isinstance(walk.not_sure(), Unsure)


def test_after_half_an_hour_all_danger_questions_are_asked_again():
    walk, _, clock = begun()
    through_the_danger_questions(walk)
    clock.move(minutes=31)
    asked = walk.answer("none")
    assert (asked.check, asked.ask_first, asked.again) == ("smell-of-gas", True, True)
    assert any("Half an hour" in notice for notice in asked.notices)
    assert walk.answer("no").check == "co-alarm"
    assert walk.answer("quiet").check == "start"


def test_within_half_an_hour_they_are_not_asked_again():
    walk, _, clock = begun()
    through_the_danger_questions(walk)
    clock.move(minutes=29)
    assert walk.answer("none").check == "start"


def test_a_clock_that_was_set_back_makes_the_answers_too_old():
    walk, _, clock = begun()
    through_the_danger_questions(walk)
    clock.move(hours=-2)
    assert walk.answer("none").check == "smell-of-gas"


def test_at_resume_they_are_asked_again_and_say_why():
    walk, journal, clock = begun()
    through_the_danger_questions(walk)
    walk.leave_off()
    again = resumed(walk, journal, clock)
    assert (again.view().check, again.view().again) == ("smell-of-gas", True)
    assert any("taken up again" in notice for notice in again.view().notices)
    again.answer("no")
    assert again.answer("quiet").check == "hob"


def test_no_danger_question_has_a_default():
    walk, _, _ = begun()
    with pytest.raises(NotNow, match='"" is no answer here'):
        walk.answer("")
    assert walk.view().check == "smell-of-gas"


def resumed(walk, journal, clock, tree=None, **more):
    from diagnose.cases.records import CaseRecord

    tree = tree or walk.tree
    record = CaseRecord(
        1, tree.id, walk.tree.digest, "owner", journal.state, clock(), clock(), entries=tuple(journal.lines)
    )
    return Walk.resume(tree, Order(tree), journal, clock, record, **more)
