"""What the phone keeps of rounds: each mark, a stop until it is cleared, and nothing broken or foreign."""

from __future__ import annotations

import pytest

from tests.drawing.offline.round_phone import (
    CLEARED,
    COVERS,
    KEY,
    TYRES,
    hold,
    kept,
    opened,
    read_on,
)
from tests.drawing.offline.thumb import Thumb
from tests.trees.shipped import COMMON

pytestmark = pytest.mark.long


def test_danger_stops_the_round_and_every_walk_until_somebody_says_that_it_was_cleared(phone):
    opened(phone)
    phone.press("Danger")
    assert phone.heading == "STOP - DANGER"
    assert COMMON.referrals["gas-escape"].until_help.split(".")[0] in phone.text
    assert phone.run("return document.getElementById('danger')") is None
    phone.reload()
    assert phone.heading == "STOP - DANGER"
    phone.press("To the start")
    phone.reload()
    assert phone.heading == "What is wrong?"
    phone.press("The pump brings no water, or keeps cutting in")
    assert phone.heading.startswith("The last walk of this vehicle was stopped for danger.")
    phone.press("Back", "Go on with the round")
    assert phone.heading == CLEARED
    phone.answer("No")
    assert phone.heading == "STOP - DANGER"
    assert "Nothing of it is used or tried until somebody qualified has cleared it." in phone.text
    phone.press("To the start", "Go on with the round").answer("Yes")
    assert phone.heading == "Waking it up"
    phone.press("Leave off", "To the start", "The pump brings no water, or keeps cutting in")
    read_on(phone)
    assert phone.heading.startswith("Is anything of the mains wet")


def test_it_is_kept_with_each_mark_gone_on_with_and_taken_back(phone):
    opened(phone)
    phone.press("Fine")
    assert [each["answer"] for each in kept(phone)[0]["lines"]] == ["fine"]
    phone.reload()
    phone.press("Go on with the round")
    assert "1 of " in phone.text
    assert f"{COVERS}\nfine" in phone.text
    # What was marked before this sitting is changed by marking it anew.
    assert "Take back" not in phone.text
    phone.press(COVERS)
    read_on(phone)
    assert "Marked so far: fine." in phone.text
    phone.press("Not done")
    phone.press("Back", "Take back: take all covers from flues and vents, and count them")
    assert [each["noted"] for each in kept(phone)[0]["lines"]] == ["mark", "mark", "back"]
    assert f"{COVERS}\nfine" in phone.text


@pytest.mark.parametrize(
    "text", ["{ not JSON", "[]", '{"form": 1, "rounds": [{"id": 7}]}', '{"form": 2, "rounds": []}']
)
def test_what_is_broken_is_put_aside_and_said(phone, text):
    phone.run("localStorage.setItem(arguments[0], arguments[1])", KEY, text)
    phone.reload()
    assert "A round that was kept here could not be read." in phone.text
    assert phone.run("return localStorage.getItem(arguments[0])", f"{KEY}.aside") == text
    opened(phone)
    phone.press("Fine")
    assert len(kept(phone)) == 1


def test_a_round_of_nonsense_stops_nothing_and_one_that_changed_says_so(phone):
    line = {
        "time": "2026-11-28T08:00:00.000Z",
        "noted": "mark",
        "subject": "gone-now",
        "answer": "<b>well</b>",
    }
    hold(phone, [line, line | {"noted": "back", "subject": "99"}], digest="0")
    phone.press("Go on with the round")
    assert "This round has changed since it was left off" in phone.text
    assert "No longer in the round, so dropped: gone-now." in phone.text
    phone.press("How it stands")
    assert phone.heading == "NOT READY to be used."


def test_of_two_windows_one_is_told_that_the_other_went_on(phone, file):
    opened(phone)
    phone.press("Fine")
    first = phone.browser.current_window_handle
    phone.browser.switch_to.new_window("tab")
    try:
        other = Thumb(phone.browser, file)
        other.reload()
        other.press("Go on with the round")
        opened(other, TYRES)
        other.press("Not done")
        phone.browser.switch_to.window(first)
        assert phone.run("return new Promise(done => setTimeout(() => done(true), 100))")
        assert phone.heading == "This round has gone on in another window. Here nothing more of it is kept."
        phone.press("Go on here")
        assert f"{TYRES}\nnot done" in phone.text
        # Danger is kept whatever the other window did.
        opened(phone, TYRES)
        phone.run(
            "const kept = JSON.parse(localStorage.getItem(arguments[0]));"
            "kept.rounds[0].revision += 5; localStorage.setItem(arguments[0], JSON.stringify(kept));",
            KEY,
        )
        phone.press("Danger")
        assert phone.heading == "STOP - DANGER"
        assert kept(phone)[0]["stage"] == "stopped"
        assert [each["noted"] for each in kept(phone)[0]["lines"]] == ["mark", "mark", "danger"]
    finally:
        for handle in phone.browser.window_handles:
            if handle != first:
                phone.browser.switch_to.window(handle)
                phone.browser.close()
        phone.browser.switch_to.window(first)
