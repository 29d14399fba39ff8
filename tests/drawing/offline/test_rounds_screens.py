"""A round on the phone, from its list to the record that is taken away."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from diagnose.rounds.marks_file import Known, read_marks
from tests.drawing.offline.round_phone import (
    AGAIN,
    BELTS,
    CARD,
    CLEARED,
    COVERS,
    FLUIDS,
    GAS,
    MICE,
    MIND,
    TYRES,
    WAKE,
    hold,
    kept,
    mark_all_before,
    noted,
    opened,
    page_with_rounds,
    read_on,
)
from tests.trees.shipped import COMMON, tree_of

pytestmark = pytest.mark.long


def test_cautions_stand_in_full_before_the_first_task_that_carries_them_and_only_there(phone):
    phone.press("Waking it up", f"Next: {COVERS}")
    assert phone.heading == MIND
    assert COMMON.cautions["gas"].say in phone.text
    assert "Fine" not in phone.text
    assert read_on(phone) == f"{COVERS}."
    assert "Flue: behind the left rear wheel." in phone.text
    assert "By daylight. Before anything is lit." in phone.text
    phone.press("Back", COVERS)
    assert phone.heading == f"{COVERS}."
    phone.press("Cautions")
    assert COMMON.cautions["gas"].say in phone.text
    phone.press("Leave off")
    # Nothing was marked, so nothing is kept, and the next time the cautions come again.
    assert kept(phone) == []
    phone.press("Waking it up", COVERS)
    assert phone.heading == MIND


def test_something_wrong_opens_its_walk_with_what_is_known_and_leads_back_to_the_round(phone):
    hold(phone, [noted("fact", "heater-fuel", "gas"), noted("fact", "drained", "not-sure")])
    phone.press("Go on with the round")
    opened(phone)
    phone.press("Wrong")
    assert phone.heading.startswith("Wrong: ")
    assert f"do not use:\n\n{WAKE.tasks['w3-uncover'].must_not_use}." in phone.text
    phone.press("The blown-air gas heater will not fire")
    read_on(phone)
    # The danger questions come first, and the way back leads to the round.
    assert phone.heading == tree_of("heater-no-fire").checks["smell-of-gas"].ask
    phone.press("Back")
    assert phone.heading == "Waking it up"
    opened(phone)
    phone.press("Wrong", "The blown-air gas heater will not fire")
    read_on(phone)
    phone.press("Leave off")
    walk = phone.kept[0]
    assert (walk["round"], walk["task"]) == (kept(phone)[0]["id"], "w3-uncover")
    ahead = [[each["subject"], each["answer"]] for each in walk["journal"] if each["ahead"]]
    assert ahead == [["heater-fuel", "gas"]]
    phone.press("Back to the round")
    assert phone.heading == "Waking it up"


def test_a_stop_on_such_a_walk_stops_the_round_too(phone):
    opened(phone)
    phone.press("Wrong", "The blown-air gas heater will not fire")
    read_on(phone)
    phone.press("Danger", "Back to the round")
    assert phone.heading == CLEARED
    phone.answer("Yes")
    assert phone.heading == "Waking it up"


def test_a_walk_that_ended_in_a_cure_has_its_task_looked_at_once_more(phone):
    opened(phone)
    phone.press("Wrong", "The blown-air gas heater will not fire")
    read_on(phone)
    phone.press("Leave off")
    walk = phone.kept[0]
    assert walk["task"] == "w3-uncover"
    phone.press("Back to the round")
    assert AGAIN not in phone.text
    cured = phone.run("return localStorage.getItem('diagnose.page')").replace("left-off", "cured", 1)
    assert '"state":"cured"' in cured
    phone.run("localStorage.setItem('diagnose.page', arguments[0])", cured)
    phone.press("How it stands")
    assert "its walk came to a good end; look at it once more and mark it." in phone.text
    phone.press("Back")
    assert AGAIN in phone.text
    phone.press(COVERS)
    read_on(phone)
    phone.press("Fine", "Back")
    assert AGAIN not in phone.text


def test_where_no_tree_opens_it_is_told_whom_it_is_left_to(phone):
    mark_all_before(phone, "w14-gas")
    assert read_on(phone) == f"{GAS}."
    phone.press("Wrong")
    assert "The questions that find out why are not in this page." in phone.text
    assert COMMON.referrals["gas-engineer"].say in phone.text
    assert "Call 01632 960001" in phone.text
    phone.press("Go on with the round")
    assert not phone.heading.startswith("Wrong")


def test_a_date_that_is_over_makes_a_task_wrong_whatever_is_pressed(phone):
    opened(phone, TYRES)
    assert "The tyres are 14 years old" in phone.text
    assert "So it is wrong by its date." in phone.text
    phone.press("Nothing else is wrong")
    assert phone.heading.startswith("Wrong: ")
    assert kept(phone)[0]["lines"][-1]["answer"] == "wrong"


@pytest.fixture
def new_tyres(file):
    """`new_tyres()` makes the page anew, with a card on which the tyres' date is new."""
    yield lambda: page_with_rounds(file.parent, replace(CARD, dates={"tyres": date(2026, 3, 1)}))
    page_with_rounds(file.parent)


def test_with_a_new_date_on_the_card_what_was_wrong_for_its_date_is_looked_at_once_more(phone, new_tyres):
    opened(phone, TYRES)
    phone.press("Nothing else is wrong")
    new_tyres()
    phone.reload()
    phone.press("Go on with the round")
    assert "its date is new on the card: look at it once more" in phone.text
    opened(phone, TYRES)
    assert "So it is wrong by its date." not in phone.text
    phone.press("Fine")
    assert "its date is new on the card" not in phone.text


def test_a_fact_on_which_a_task_hangs_is_asked_once_and_leaves_it_out(phone):
    mark_all_before(phone, "w8-fluids")
    build = COMMON.facts["build"]
    assert phone.heading == build.ask
    phone.press("Not sure")
    read_on(phone)
    assert f"It is kept, since this is not known of the vehicle: {build.ask}" in phone.text
    phone.press("Back", "Take back what was answered of the vehicle")
    assert FLUIDS in phone.text
    phone.press(FLUIDS, "Caravan")
    assert build.ask not in phone.text
    read_on(phone)
    phone.press("Back")
    assert FLUIDS not in phone.text
    assert "of 17 tasks behind you" in phone.text


def test_what_comes_after_something_that_was_not_done_waits_for_it(phone):
    opened(phone, MICE)
    phone.press("Not done")
    read_on(phone)
    phone.press("Back")
    waits = "return [...document.querySelectorAll('li.remark')].map(each => each.firstChild.textContent)"
    waiting = phone.run(waits)
    assert BELTS in waiting
    assert COVERS not in waiting
    phone.press(MICE)
    read_on(phone)
    phone.press("Fine")
    read_on(phone)
    phone.press("Back")
    assert BELTS not in phone.run(waits)
    # Half an hour that nobody need be there for has just begun.
    phone.press(BELTS)
    read_on(phone)
    assert "A wait has still to run before it: 30 minutes." in phone.text


def test_where_it_stands_and_the_marks_are_taken_away_as_text(phone):
    opened(phone)
    phone.press("Wrong", "Go on with the round")
    read_on(phone)
    phone.press("Not fitted", "Back", "How it stands")
    assert phone.heading == "NOT READY to be used."
    for says in (
        "Mains: the card has no day of an electrician's check.",
        f"Wrong: {COVERS}.",
        "This does not certify that the vehicle is safe.",
        f"If anybody is in danger, call {' or '.join(COMMON.countries['uk'].numbers)}.",
    ):
        assert says in phone.text, says
    assert "Gas: the card has no day" not in phone.text
    phone.press("The record as text")
    record = phone.run("return document.querySelector('textarea').value")
    assert record.startswith("Waking it up: the van\nAs of ")
    assert f"- wrong: {COVERS}.\n" in record
    assert "certify" in record
    phone.press("Back", "The marks for the program")
    marks = phone.run("return document.querySelector('textarea').value")
    known = Known({fact.check: fact.answer for fact in CARD.facts}, {}, COMMON.facts)
    brought = read_marks(marks, "marks.yaml", WAKE, known)
    assert [(each.task, each.end) for each in brought.marks] == [
        ("w3-uncover", "wrong"),
        ("w1-mice", "not-fitted"),
    ]
