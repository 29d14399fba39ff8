"""The code that a phone shows when a round is left, ended or stopped, and that the program then takes in."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO

import pytest
import zxingcpp
from PIL import Image
from selenium.webdriver.common.by import By

from diagnose.rounds.code_parts import read_head
from diagnose.rounds.marks_file import Known, read_marks
from diagnose.rounds.phone_code import read_phone
from tests.drawing.offline.round_phone import (
    CARD,
    COVERS,
    MICE,
    TYRES,
    WAKE,
    hold,
    kept,
    noted,
    opened,
)
from tests.trees.shipped import COMMON

pytestmark = pytest.mark.long

HEADING = "The code of this round"


def shown(phone):
    """The code on the screen, as the program reads it."""
    assert phone.heading == HEADING
    code = phone.run("return document.querySelector('p.code').textContent")
    head = read_head(code)
    head.of_vehicle("The Van")
    assert (head.kind, head.round) == ("phone", "wake-up")
    assert "diagnose round --code, behind that the code, then --vehicle" in phone.text
    return code, read_phone(head, WAKE, COMMON.facts, datetime.now(UTC))


def ends(told):
    return {id: ("of-date" if mark.of_date else mark.end) for id, mark in told.marks.items()}


def test_a_round_that_is_left_shows_its_code_and_goes_on_from_there(phone):
    hold(phone, [noted("fact", "heater-fuel", "gas"), noted("mark", "w3-uncover", "fine")])
    phone.press("Go on with the round")
    opened(phone, MICE)
    phone.press("Not done", "Back", "Leave off")
    code, told = shown(phone)
    assert (ends(told), told.facts, told.stop) == (
        {"w3-uncover": "fine", "w1-mice": "not-done"},
        {"heater-fuel": "gas"},
        None,
    )
    assert told.marks["w3-uncover"].day == told.began.date()
    assert told.marks["w1-mice"].day == datetime.now(UTC).date()
    picture = phone.browser.find_element(By.CSS_SELECTOR, ".square-code")
    # Not beneath the bar that stays at the foot of the screen.
    phone.browser.execute_script("arguments[0].scrollIntoView({ block: 'center' })", picture)
    (square,) = zxingcpp.read_barcodes(Image.open(BytesIO(picture.screenshot_as_png)))
    assert square.text == code
    assert phone.judged() == []
    phone.press("Back", "How it stands", "The code for the program")
    assert shown(phone)[0] == code
    phone.press("Back", "The marks for the program")
    marks = phone.run("return document.querySelector('textarea').value")
    carded = {fact.check: fact.answer for fact in CARD.facts}
    brought = read_marks(marks, "marks.yaml", WAKE, Known(carded, carded, COMMON.facts))
    assert {mark.task: mark.end for mark in brought.marks} == ends(told)
    assert brought.facts == told.facts
    phone.press("Back", "To the start", "To the start")
    assert phone.heading == "What is wrong?"


def test_what_only_a_date_made_wrong_is_told_so(phone):
    hold(phone, [noted("mark", "w5-brakes", "fine")])
    phone.press("Go on with the round")
    opened(phone, TYRES)
    phone.press("Nothing else is wrong", "Go on with the round", "Back", "Leave off")
    assert ends(shown(phone)[1]) == {"w5-brakes": "fine", "w4-tyres": "of-date"}


def test_a_stop_is_in_the_code_and_stays_in_it_when_the_vehicle_was_cleared(phone):
    opened(phone, COVERS)
    phone.press("Danger")
    assert phone.heading == "STOP - DANGER"
    phone.press("To the start")
    _, told = shown(phone)
    assert told.stop.referral == "gas-escape"
    assert "with the code the vehicle is stopped there too. No code clears it." in phone.text
    phone.press("To the start", "Go on with the round").answer("Yes")
    phone.press("Leave off")
    assert shown(phone)[1].stop == told.stop


def test_the_code_of_a_round_that_is_at_its_end_is_found_where_the_next_one_begins(phone):
    hold(phone, [noted("mark", "w1-mice", "fine")], stage="ended")
    phone.press("Waking it up", "The code of the last one that ended")
    assert ends(shown(phone)[1]) == {"w1-mice": "fine"}
    assert [each["stage"] for each in kept(phone)] == ["ended"]
    phone.press("To the start")
    assert phone.heading == "What is wrong?"


def test_a_round_of_many_years_says_what_takes_its_place(phone):
    line = noted("mark", "w3-uncover", "fine") | {"time": "2019-01-01T08:00:00.000Z"}
    hold(phone, [line, noted("mark", "w1-mice", "fine")], opened="2019-01-01T08:00:00.000Z")
    phone.press("Go on with the round", "Leave off")
    assert phone.heading == HEADING
    assert "This round is too long for a code." in phone.text
