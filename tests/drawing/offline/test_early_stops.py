"""Danger pressed before any walk was chosen: kept until somebody says that the vehicle was cleared."""

from __future__ import annotations

import pytest

from tests.drawing.offline.round_phone import CLEARED, COVERS, kept, opened, page_with_rounds, read_on
from tests.drawing.offline.thumb import Thumb

pytestmark = pytest.mark.long

STOP = "STOP - DANGER"
KEY = "diagnose.page.stops"
PUMP = "The pump brings no water, or keeps cutting in"
ASKED = "The last walk of this vehicle was stopped for danger."
TOLD = "before any walk or round was chosen."


def test_it_is_shown_again_until_it_was_read_and_asked_about_in_every_walk_and_round(phone):
    phone.press("Danger")
    assert phone.heading == STOP
    phone.reload()
    assert phone.heading == STOP
    phone.press("To the start")
    phone.reload()
    assert phone.heading == "What is wrong?"
    assert TOLD in phone.text
    assert phone.press("Read again what to do then").heading == STOP
    phone.press("To the start", PUMP)
    assert phone.heading.startswith(ASKED)
    assert TOLD in phone.text
    # Leaving off, or going back, clears nothing.
    phone.press("Back", "Waking it up")
    assert phone.heading == CLEARED
    assert TOLD in phone.text
    phone.answer("No")
    assert phone.heading == STOP
    phone.press("To the start", "Go on with the round").answer("Yes")
    assert phone.heading == "Waking it up"
    phone.press("Leave off", "To the start")
    assert TOLD not in phone.text
    assert phone.press(PUMP).heading == "Before you go on"


def test_a_walk_in_which_it_was_cleared_ends_it_and_one_in_which_it_was_not_does_not(phone):
    phone.press("Danger", "To the start", PUMP).answer("No")
    assert phone.heading == STOP
    assert "Nobody qualified has cleared the vehicle" in phone.text
    phone.press("To the start", PUMP).answer("Yes")
    read_on(phone)
    phone.press("Back")
    assert TOLD not in phone.text
    opened(phone)
    assert phone.heading == f"{COVERS}."


def test_it_counts_for_other_vehicles_too_since_nobody_knows_of_which_it_was(phone, browser, tmp_path):
    phone.press("Danger")
    other = Thumb(browser, page_with_rounds(tmp_path, card=None))
    before = phone.run("return localStorage.getItem(arguments[0])", KEY)
    other.reload()
    # Where a browser keeps what each file keeps for itself, it is carried over by hand.
    other.run("localStorage.setItem(arguments[0], arguments[1])", KEY, before)
    other.reload()
    assert other.heading == STOP
    other.press("To the start", PUMP)
    assert other.heading.startswith(ASKED)


@pytest.mark.parametrize("text", ["{ not JSON", '{"form": 2, "stops": []}', '{"form": 1, "stops": [{}]}'])
def test_what_cannot_be_read_of_it_counts_as_a_stop(phone, text):
    phone.run("localStorage.setItem(arguments[0], arguments[1])", KEY, text)
    phone.reload()
    assert "What was kept here of a danger could not be read." in phone.text
    phone.press(PUMP)
    assert phone.heading.startswith(ASKED)


def test_another_window_stops_before_its_next_task(phone, file):
    opened(phone)
    phone.press("Fine")
    first = phone.browser.current_window_handle
    phone.browser.switch_to.new_window("tab")
    try:
        other = Thumb(phone.browser, file)
        other.reload()
        other.press("Danger")
        phone.browser.switch_to.window(first)
        assert phone.run("return new Promise(done => setTimeout(() => done(true), 100))")
        assert phone.heading == CLEARED
        assert [each["answer"] for each in kept(phone)[0]["lines"]] == ["fine"]
    finally:
        for handle in phone.browser.window_handles:
            if handle != first:
                phone.browser.switch_to.window(handle)
                phone.browser.close()
        phone.browser.switch_to.window(first)
