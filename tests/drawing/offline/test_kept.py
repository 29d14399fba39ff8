"""What the phone keeps is deleted one by one, after a question; a stop is not made unseen that way."""

from __future__ import annotations

import json

import pytest

from tests.drawing.offline.round_phone import COVERS, hold, kept, noted, opened, read_on

pytestmark = pytest.mark.long

KEPT = "What is kept on this phone"
PUMP = "The pump brings no water, or keeps cutting in"
HEATER = "The blown-air gas heater will not fire"
QUESTION = "Danger stopped it. Has somebody qualified looked at the vehicle since, and cleared it?"
STOP = "STOP - DANGER"
LATELY = "how often the appliance was started counts for a day."


def offered(phone):
    """What can be pressed to be deleted."""
    return phone.run(
        "return [...document.querySelectorAll('ul.symptoms button')].map(each => each.firstChild.textContent)"
    )


def test_one_walk_is_deleted_after_a_question_and_the_others_stay(phone):
    assert KEPT not in phone.text
    for symptom in (PUMP, HEATER):
        phone.press(symptom)
        read_on(phone)
        phone.press("Leave off", "To the start")
    phone.press(KEPT)
    assert offered(phone) == [HEATER, PUMP]
    phone.press(PUMP)
    assert phone.heading == "Delete this?"
    phone.press("Keep it")
    assert len(phone.kept) == 2
    phone.press(PUMP, "Delete it")
    assert phone.said == "Deleted."
    assert [each["tree"] for each in phone.kept] == ["heater-no-fire"]
    phone.press(HEATER, "Delete it")
    assert "Nothing is kept here." in phone.text
    phone.press("Back")
    assert KEPT not in phone.text


def test_a_stop_goes_only_once_somebody_says_that_it_was_cleared(phone):
    phone.begin().press("Danger", "To the start", KEPT, PUMP)
    assert phone.heading == QUESTION
    phone.answer("No")
    assert phone.heading == STOP
    assert [each["state"] for each in phone.kept] == ["stopped"]
    phone.press("To the start", KEPT, PUMP, "Back", PUMP).answer("Yes")
    assert phone.heading == "Delete this?"
    phone.press("Keep it", PUMP).answer("Yes")
    phone.press("Delete it")
    assert phone.kept == []


def test_danger_before_any_walk_goes_by_the_same_question(phone):
    told = "Danger, before any walk or round was chosen"
    phone.press("Danger", "To the start", KEPT, told).answer("No")
    assert phone.heading == STOP
    phone.press("To the start", KEPT, told).answer("Yes")
    phone.press("Delete it", "Back", PUMP)
    assert phone.heading == "Before you go on"


def test_a_round_goes_with_its_walks_and_they_not_without_it(phone):
    opened(phone)
    phone.press("Wrong", HEATER)
    read_on(phone)
    phone.press("Leave off", "To the start", KEPT)
    assert offered(phone) == ["Waking it up"]
    assert "It belongs to a round, and goes with it." in phone.text
    phone.press("Waking it up", "Delete it")
    assert phone.kept == kept(phone) == []
    # A round on which danger was told, though it was cleared on it since, asks all the same.
    hold(phone, [noted("danger", "w3-uncover", "gas-escape"), noted("cleared", "", "yes", 1)])
    phone.press(KEPT, "Waking it up")
    assert phone.heading == QUESTION
    phone.answer("No")
    assert phone.heading == STOP
    assert len(kept(phone)) == 1
    assert COVERS not in phone.text


def test_how_often_an_appliance_was_started_is_not_forgotten_within_a_day(phone):
    phone.press(HEATER)
    read_on(phone)
    phone.press("Leave off", "To the start")
    starting = phone.run(
        "const { checks } = Diagnose.tree('heater-no-fire');"
        "const [id, check] = Object.entries(checks).find(([, each]) => each.starts);"
        "return [id, check.answers[0].id]"
    )
    walks = json.loads(phone.run("return localStorage.getItem('diagnose.page')"))
    for hours, there in ((1, []), (25, [HEATER])):
        time = phone.run("return new Date(Date.now() - arguments[0] * 3600000).toISOString()", hours)
        line = {"kind": "finding", "subject": starting[0], "answer": starting[1], "time": time}
        line |= {"value": None, "uncertainty": None, "ahead": False}
        walks["walks"][0]["journal"] = [*walks["walks"][0]["journal"][:1], line]
        phone.open(walks).press(KEPT)
        assert offered(phone) == there
        assert (LATELY in phone.text) == (hours == 1)
