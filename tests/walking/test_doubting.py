"""Answers that seldom go together are told before anything is concluded, once, with a way back to them."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from diagnose.cases.records import CaseRecord
from diagnose.reasoning.fitting import Doubts, Pair
from diagnose.terms import NOT_LISTED, Step
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.views import Question, Referred, RemedyOffered
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions

SELDOM = (
    'These two answers seldom go together: "How does the hob burn?" No flame; and '
    '"What does the panel show?" 12.4 V. Check them again.'
)
NOTHING_FITS = "Answers like these seldom come together, whichever of the known causes it is"


@dataclass
class Doubting(Order):
    """Doubts that no flame goes with good volts, and that a start that does nothing fits anything."""

    explained_by: str | None = "shut"
    free: bool = True

    def doubts(self, situation):
        told = {id: each.answer for id, each in situation.findings.items()}
        at_odds = (told.get("hob"), told.get("volts")) == ("none", "good")
        pair = Pair("hob", "volts", 2.5, self.explained_by)
        return Doubts((pair,) if at_odds else (), told.get("start") == "nothing")

    def may_ask_again(self, situation, check, starts=0):
        return self.free


def begun(remedies=True, **more):
    tree = heater()
    checks = tuple(Step("check", id) for id in ("hob", "volts", "start"))
    order = (*checks, *((Step("remedy", "empty"), Step("remedy", "shut")) if remedies else ()))
    planner = Doubting(tree, (*order, Step("referral", "gas-engineer")), **more)
    journal, clock = MemoryJournal(), HandClock()
    walk = Walk.begin(tree, planner, journal, clock)
    through_the_danger_questions(walk)
    return walk, journal, clock


def answered(walk, hob="none", volts=12.4, start="ticks"):
    walk.answer(hob)
    walk.reading(volts)
    return walk.answer(start)


def seldom(view):
    return [notice for notice in view.notices if notice.startswith("These two answers seldom")]


def fits_nothing(view):
    return [notice for notice in view.notices if notice.startswith(NOTHING_FITS)]


def test_with_the_next_remedy_the_two_answers_are_named_with_the_way_back_and_what_would_explain_them():
    walk, _, _ = begun()
    view = answered(walk)
    assert isinstance(view, RemedyOffered)
    assert seldom(view) == [
        f"{SELDOM} To answer the later one again, type: back 2; for the earlier one: back 3. "
        "If both are right, it may be this: It is the shut."
    ]


def test_the_way_back_leads_to_the_very_questions():
    walk, _, _ = begun()
    answered(walk)
    assert walk.back(2).check == "volts"
    walk, _, _ = begun()
    answered(walk)
    assert walk.back(3).check == "hob"


def test_answers_that_go_together_bring_no_notice():
    walk, _, _ = begun()
    assert not seldom(answered(walk, volts=10.0))


@pytest.mark.parametrize(
    ("explained_by", "last"),
    [
        (NOT_LISTED, "If both are right, it may be something that is not listed here."),
        (None, "for the earlier one: back 3."),
    ],
)
def test_what_would_explain_them_is_said_only_where_something_would(explained_by, last):
    walk, _, _ = begun(explained_by=explained_by)
    (notice,) = seldom(answered(walk))
    assert notice.endswith(last)


def test_nothing_is_said_before_a_further_check():
    walk, _, _ = begun()
    walk.answer("none")
    assert not seldom(walk.reading(12.4))


def test_it_is_not_said_again_with_the_next_remedy():
    walk, _, _ = begun()
    answered(walk)
    walk.no_better()
    view = walk.answer("no")
    assert isinstance(view, RemedyOffered)
    assert not seldom(view)


def test_it_is_not_said_again_once_it_was_looked_at_again_and_answered_alike():
    walk, _, _ = begun()
    answered(walk)
    walk.back(2)
    walk.reading(12.5)
    assert not seldom(walk.answer("ticks"))


def test_another_answer_ends_the_doubt():
    walk, _, _ = begun()
    answered(walk)
    walk.back(2)
    walk.reading(10.0)
    assert not seldom(walk.answer("ticks"))


def taken_up(walk):
    """The walk left off and taken up again, its danger questions answered."""
    walk.leave_off()
    journal, now = walk._journal, walk._clock()
    lines = tuple(journal.lines)
    record = CaseRecord(1, walk.tree.id, walk.tree.digest, "owner", journal.state, now, now, entries=lines)
    again = Walk.resume(walk.tree, walk._reasoner, journal, walk._clock, record)
    again.answer("no")
    again.answer("quiet")
    return again


def test_whoever_takes_the_case_up_there_is_told_again():
    walk, _, _ = begun()
    answered(walk)
    assert seldom(taken_up(walk).view())


def test_before_an_ending_the_later_one_is_asked_again():
    walk, journal, _ = begun(remedies=False)
    view = answered(walk)
    assert isinstance(view, Question)
    assert (view.check, view.again, journal.state) == ("volts", True, "open")
    assert seldom(view) == [
        f"{SELDOM} One of them is asked again now; for the other one, type: back 3. "
        "If both are right, it may be this: It is the shut."
    ]


@pytest.mark.parametrize("reading", [12.4, 13.0, 10.0])
def test_whatever_is_answered_then_the_ending_follows(reading):
    walk, journal, _ = begun(remedies=False)
    answered(walk)
    view = walk.reading(reading)
    assert isinstance(view, Referred)
    assert not seldom(view)
    assert walk.situation.findings["volts"].value == reading
    assert journal.state == "referred"


def test_not_sure_takes_the_doubtful_answer_away():
    walk, _, _ = begun(remedies=False)
    answered(walk)
    assert isinstance(walk.not_sure(), Referred)
    assert walk.situation.findings["volts"].answer == "not-sure"


def test_where_nothing_may_be_asked_again_the_ending_itself_says_it():
    walk, _, _ = begun(remedies=False, free=False)
    view = answered(walk)
    assert isinstance(view, Referred)
    assert seldom(view) == [
        SELDOM.replace("Check them again.", "Say so to whoever you call.")
        + " If both are right, it may be this: It is the shut."
    ]


def test_danger_is_not_held_up_by_a_doubt():
    walk, _, _ = begun(remedies=False)
    answered(walk)
    assert not seldom(walk.danger())


def test_why_works_while_something_is_asked_again():
    walk, _, _ = begun(remedies=False)
    answered(walk)
    assert walk.why().saves == 4.0


def test_answers_that_fit_nothing_are_told_once():
    walk, _, _ = begun()
    view = answered(walk, hob="steady", start="nothing")
    assert fits_nothing(view) == [
        f"{NOTHING_FITS}: in fewer than 1 in 100 vehicles. To go back over them, type: back."
    ]
    walk.no_better()
    assert not fits_nothing(walk.answer("no"))


def test_at_an_ending_answers_that_fit_nothing_are_something_to_say():
    walk, _, _ = begun(remedies=False)
    view = answered(walk, hob="steady", start="nothing")
    assert isinstance(view, Referred)
    assert fits_nothing(view) == [
        f"{NOTHING_FITS}: in fewer than 1 in 100 vehicles. Say so to whoever you call."
    ]
