"""Remedies: what became of them, gas smelt for afterwards, and nothing cured before the cured question."""

from __future__ import annotations

import pytest

from diagnose.walking.journal import MemoryJournal
from diagnose.walking.views import (
    Cured,
    CuredQuestion,
    LeftOff,
    Question,
    Referred,
    RemedyOffered,
    Stopped,
)
from diagnose.walking.walk import NotNow, Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import resumed, through_the_danger_questions


def at_the_first_remedy():
    tree = heater()
    journal, clock = MemoryJournal(), HandClock()
    walk = Walk.begin(tree, Order(tree), journal, clock)
    through_the_danger_questions(walk)
    for answer in ("none", "ticks", "good"):
        walk.answer(answer)
    assert isinstance(walk.view(), RemedyOffered)
    return walk, journal, clock


def test_a_remedy_says_what_to_do_where_and_for_how_long():
    walk, _, _ = at_the_first_remedy()
    view = walk.view()
    assert (view.remedy, view.do) == ("empty", ("Change the cylinder",))
    assert view.where[0].place == "at the gas locker"
    assert (view.effort.minutes, view.effort.price) == (13, 35)
    assert [choice.id for choice in view.choices] == ["cured", "not-cured", "could-not"]


def test_getting_to_a_place_is_paid_once():
    walk, _, _ = at_the_first_remedy()
    walk.no_better()
    assert (walk.answer("no").remedy, walk.view().effort.minutes) == ("shut", 10)


def test_works_now_is_not_yet_cured():
    walk, journal, _ = at_the_first_remedy()
    walk.works_now()
    assert journal.state == "open"
    asked = walk.answer("no")
    assert isinstance(asked, CuredQuestion)
    assert (asked.ask, asked.minutes) == ("Has it run for ten minutes?", 12)
    assert journal.state == "open"
    assert isinstance(walk.cured_when(True), Cured)
    assert (journal.state, journal.points_to) == ("cured", "empty")


def test_a_no_to_the_cured_question_means_that_it_did_not_cure():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    assert walk.cured_when(False).remedy == "shut"
    assert walk.situation.tried == {"empty": "not-cured"}


def test_not_sure_at_the_cured_question_is_no_cure():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    walk.not_sure()
    assert walk.situation.tried == {"empty": "not-cured"}


@pytest.mark.parametrize("outcome", ["cured", "not-cured", "could-not"])
def test_after_a_remedy_under_gas_gas_is_smelt_for_again(outcome):
    walk, _, _ = at_the_first_remedy()
    asked = walk.answer(outcome)
    assert isinstance(asked, Question)
    assert (asked.check, asked.ask_first, asked.again) == ("smell-of-gas", True, True)
    assert isinstance(walk.answer("yes"), Stopped)


def test_not_sure_after_a_remedy_under_gas_stops_too():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.not_sure()
    assert isinstance(walk.not_sure(), Stopped)


def test_after_a_remedy_without_gas_nothing_is_smelt_for():
    walk, _, _ = at_the_first_remedy()
    for answer in ("could-not", "no", "could-not", "no"):
        walk.answer(answer)
    assert walk.view().remedy == "fuse"
    assert isinstance(walk.works_now(), CuredQuestion)


def test_a_gas_remedy_that_was_taken_back_is_smelt_for_before_anything_but_itself():
    walk, _, _ = at_the_first_remedy()
    walk.no_better()
    walk.back()
    assert walk.view().remedy == "empty"
    walk.back()
    assert walk.view().check == "smell-of-gas"
    assert walk.answer("no").check == "volts"


def test_gas_is_smelt_for_before_the_cured_question_though_the_later_remedy_was_taken_back():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    walk.cured_when(False)
    assert walk.works_now().check == "smell-of-gas"
    walk.back(2)
    assert walk.view().check == "smell-of-gas"
    assert isinstance(walk.answer("no"), CuredQuestion)


def test_could_not_is_no_evidence_and_is_not_offered_again():
    walk, _, _ = at_the_first_remedy()
    before = walk.view().ranking
    walk.could_not()
    assert walk.answer("no").remedy == "shut"
    assert walk.view().ranking == before


def test_a_remedy_cannot_be_answered_with_not_sure():
    walk, _, _ = at_the_first_remedy()
    with pytest.raises(NotNow, match="works now"):
        walk.not_sure()


def test_the_end_names_what_it_was_and_prevents_it_and_certifies_nothing():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    end = walk.cured_when(True)
    assert end.says == "It is the empty"
    assert [(p.says, p.prevent) for p in end.prevention] == [("It is the empty", "Look after the empty")]
    assert end.certificate == "This does not certify that the vehicle is safe."
    assert any(alone.says == "It is the board" for alone in end.left_alone)


def test_the_end_reckons_minutes_waiting_and_money_apart():
    walk, _, _ = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    end = walk.cured_when(True)
    # Smell 1 (twice), alarm 1; hob 3, start 5, volts 2, the panel 1; cylinder 10, the locker 3; cured 12.
    assert end.done.minutes == 2 + 1 + 3 + 5 + 2 + 1 + 10 + 3 + 12
    assert (end.done.wait, end.done.price) == (0, 35)


def test_when_nothing_better_is_left_it_refers_firmly():
    walk, journal, _ = at_the_first_remedy()
    for answer in ("could-not", "no", "could-not", "no", "could-not"):
        walk.answer(answer)
    end = walk.view()
    assert isinstance(end, Referred)
    assert end.referral.id == "gas-engineer"
    assert end.referral.until_help
    assert (journal.state, journal.referral) == ("referred", "gas-engineer")


def test_back_from_a_referral_opens_the_case_again():
    walk, journal, _ = at_the_first_remedy()
    for answer in ("could-not", "no", "could-not", "no", "could-not"):
        walk.answer(answer)
    assert walk.back().remedy == "fuse"
    assert journal.state == "open"


def test_a_cured_case_taken_up_again_is_asked_anew_whether_it_is_cured():
    walk, journal, clock = at_the_first_remedy()
    walk.works_now()
    walk.answer("no")
    walk.cured_when(True)
    again = resumed(walk, journal, clock)
    again.answer("no")
    assert isinstance(again.answer("quiet"), CuredQuestion)
    assert journal.state == "open"
    assert again.cured_when(False).remedy == "shut"


def test_left_off_is_kept_and_nothing_can_be_asked_until_it_is_resumed():
    walk, journal, _ = at_the_first_remedy()
    assert isinstance(walk.leave_off(), LeftOff)
    assert journal.state == "left-off"
    with pytest.raises(NotNow):
        walk.works_now()
    with pytest.raises(NotNow, match="take it up again"):
        walk.back()
