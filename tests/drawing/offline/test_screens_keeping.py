"""What the phone keeps: a closed page goes on where it was, and nothing broken or foreign stops it."""

from __future__ import annotations

import json

import pytest

from tests.drawing.offline.thumb import Thumb, page_file

pytestmark = pytest.mark.long

SYMPTOM = "The pump brings no water, or keeps cutting in"
DANGER = "Is anything of the mains wet, scorched, buzzing, broken or gnawed, or has anybody felt a tingle?"
BATTERY = "Is a battery cracked, swollen, hot, leaking or frozen, or does it smell of rotten eggs?"
NONE = "No, none of these"
PUT_ASIDE = "What was kept here could not be read. It was put aside, and nothing of it is used."
LOST = "This browser keeps nothing for this page"
AGAIN = "The walk is taken up again, so the danger questions are asked again."
KEY = "diagnose.page"


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return page_file(tmp_path_factory.mktemp("page"))


def read_on(phone):
    while phone.heading == "Before you go on":
        phone.press("I have read this")
    return phone.heading


def asked_after_the_dangers(phone):
    phone.begin().answer(NONE).answer(NONE)
    return read_on(phone)


def line(**more):
    return {
        "kind": "finding",
        "subject": "mains-harmed",
        "answer": "no",
        "value": None,
        "uncertainty": None,
        "ahead": False,
        "time": "2026-11-29T02:00:00.000Z",
    } | more


def walk(**more):
    return {
        "id": "one",
        "tree": "water-pump",
        "digest": "0",
        "vehicle": "",
        "role": "owner",
        "opened": "2026-11-29T02:00:00.000Z",
        "changed": "2026-11-29T02:00:00.000Z",
        "state": "open",
        "journal": [line()],
        "revision": 1,
    } | more


def holding(*walks):
    return {"form": 1, "walks": list(walks), "settings": {"country": None, "numbers": {}}}


def test_a_closed_page_goes_on_where_it_was_after_the_danger_questions(phone):
    question = asked_after_the_dangers(phone)
    phone.reload()
    assert "Something was left off." in phone.text
    phone.press("Go on with it")
    assert read_on(phone) == DANGER
    assert AGAIN in phone.text
    phone.answer(NONE)
    assert read_on(phone) == BATTERY
    phone.answer(NONE)
    assert read_on(phone) == question


def test_what_was_left_off_says_so_and_can_be_gone_on_with(phone):
    phone.begin().answer(NONE).press("Leave off")
    assert phone.heading == "LEFT OFF"
    assert "All that you found is kept on this phone." in phone.text
    assert phone.kept[0]["state"] == "left-off"
    phone.press("Go on with it")
    assert read_on(phone) == DANGER
    phone.press("Back", "Back")
    assert phone.heading == "What is wrong?"
    phone.press("Go on with it")
    assert read_on(phone) == DANGER


def test_each_answer_is_kept_before_the_next_question_shows(phone):
    phone.begin()
    assert phone.kept == []  # nothing was answered yet
    phone.answer(NONE)
    assert [each["subject"] for each in phone.kept[0]["journal"] if each["kind"] == "finding"] == [
        "mains-harmed"
    ]
    phone.answer(NONE)
    assert phone.kept[0]["journal"][-1]["time"] >= phone.kept[0]["journal"][0]["time"]
    assert len(phone.kept) == 1


def test_a_phone_that_slept_asks_about_danger_again(phone):
    question = asked_after_the_dangers(phone)
    wake = "document.dispatchEvent(new Event('visibilitychange'))"
    phone.run(wake)
    assert phone.heading == question
    phone.run(f"const now = Date.now(); Date.now = () => now + 31 * 60000; {wake}")
    assert read_on(phone) == DANGER
    assert "Half an hour has passed, so the danger questions are asked again." in phone.text


def test_a_tree_that_has_changed_since_is_said(phone):
    phone.open(holding(walk(journal=[line(), line(subject="gone-now", answer="yes")])))
    phone.press("Go on with it")
    read_on(phone)
    assert "This tree has changed since the walk was left off" in phone.text
    assert "No longer in the tree, so dropped: gone-now: yes." in phone.text


@pytest.mark.parametrize(
    "kept",
    [
        "{ not JSON",
        '"a text"',
        "[]",
        json.dumps({"form": 99}),
        json.dumps(holding() | {"walks": "many"}),
        json.dumps(holding(walk(journal=[{"kind": "finding"}]))),
        json.dumps(holding(walk(state="<b>well</b>"))),
        json.dumps(holding(walk(journal=[line(time="yesterday")]))),
        json.dumps(holding() | {"settings": {"country": 7, "numbers": {}}}),
        json.dumps(
            holding() | {"settings": {"country": None, "numbers": {"workshop": "javascript:alert(1)"}}}
        ),
    ],
)
def test_what_is_broken_or_foreign_is_put_aside_and_said(phone, kept):
    phone.open(kept)
    assert phone.heading == "What is wrong?"
    assert PUT_ASIDE in phone.text
    assert phone.run("return localStorage.getItem('diagnose.page.aside')") == kept
    assert asked_after_the_dangers(phone) not in (DANGER, BATTERY)
    assert len(phone.kept) == 1


def test_a_walk_of_nonsense_stops_nothing(phone):
    lines = [
        line(kind="no such kind"),
        line(subject="no-such-check"),
        line(kind="back", subject="99"),
        line(value=1e300),
    ]
    phone.open(holding(walk(id="odd", journal=lines), walk(tree="no-such-tree", id="other")))
    assert phone.heading == "What is wrong?"
    phone.press("Go on with it")
    assert read_on(phone) in (DANGER, "What is wrong?")


def test_a_country_that_is_none_is_no_country(phone):
    phone.open(holding() | {"settings": {"country": "toString", "numbers": {}}})
    phone.press("Danger")
    assert "Emergency number: 112" in phone.text


def test_a_stop_that_another_page_kept_is_not_forgotten(phone):
    phone.open(holding(walk(state="stopped", journal=[line(answer="yes")], closed=True)))
    assert "The last walk was stopped for danger" in phone.text
    phone.press(SYMPTOM)
    assert phone.heading.startswith("The last walk of this vehicle was stopped for danger.")


def test_vehicles_are_kept_apart_and_a_walk_without_a_name_counts_for_each(phone):
    named = [walk(id="a", vehicle="blue"), walk(id="b", vehicle="red"), walk(id="c", state="stopped")]
    phone.open(holding(*named))
    kept = "return Diagnose.keeping.open(arguments[0]).walks().map(each => each.id)"
    assert phone.run(kept, "blue") == ["a", "c"]
    assert phone.run(kept, "red") == ["b", "c"]
    assert phone.run(kept, "") == ["c"]
    phone.run(
        "const keeping = Diagnose.keeping.open('blue');"
        "for (let at = 0; at < 70; at += 1) {"
        "  keeping.put({ ...arguments[0], id: `more-${at}`, vehicle: 'blue', revision: 0 });"
        "}",
        walk(),
    )
    assert len(phone.run(kept, "blue")) == 61
    assert phone.run(kept, "red") == ["b", "c"]


def test_a_walk_of_another_vehicle_changes_no_order(phone):
    phone.open(holding(walk(id="a", state="stopped"), walk(id="b", vehicle="blue"), walk(id="c")))
    put = "Diagnose.keeping.open('blue').put({ ...arguments[0], id: 'd', vehicle: 'blue', revision: 0 });"
    phone.run(put, walk())
    assert [each["id"] for each in phone.kept] == ["d", "a", "b", "c"]


def test_without_storage_it_walks_and_says_that_nothing_is_kept(phone):
    gone = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('forbidden'); } });"
    added = phone.browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": gone})
    try:
        phone.reload()
        assert LOST in phone.text
        assert asked_after_the_dangers(phone) not in (DANGER, BATTERY)
        phone.press("Leave off")
        assert LOST in phone.text
        phone.press("Go on with it")
        assert read_on(phone) == DANGER
        phone.press("Danger")
        assert phone.heading == "STOP - DANGER"
        phone.press("To the start", SYMPTOM)
        assert phone.heading.startswith("The last walk of this vehicle was stopped for danger.")
    finally:
        phone.browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
        phone.browser.get("about:blank")


def test_a_full_storage_is_said_and_stops_nothing(phone):
    full = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
    phone.run(full)
    asked_after_the_dangers(phone)
    phone.press("Leave off")
    assert LOST in phone.text


@pytest.mark.parametrize("told", [True, False])
def test_a_stop_in_another_window_is_cleared_before_this_one_goes_on(phone, told):
    question = asked_after_the_dangers(phone)
    if not told:  # Some phones tell a page that was opened as a file nothing of the others.
        phone.run("addEventListener('storage', event => event.stopImmediatePropagation(), true);")
    other = (
        "const kept = JSON.parse(localStorage.getItem(arguments[0]));"
        "kept.walks.unshift(arguments[1]); localStorage.setItem(arguments[0], JSON.stringify(kept));"
        "if (arguments[2]) dispatchEvent(new StorageEvent('storage', { key: arguments[0] }));"
    )
    stop = walk(id="two", state="stopped", journal=[line(answer="yes")], closed=True)
    phone.run(other, KEY, stop, told)
    if not told:
        phone.press("Not sure")
    assert phone.heading.startswith("The last walk of this vehicle was stopped for danger.")
    phone.answer("Yes")
    assert read_on(phone) == DANGER
    phone.answer(NONE)
    read_on(phone)
    phone.answer(NONE)
    assert read_on(phone) == question


def test_of_two_windows_one_is_told_that_the_other_went_on(phone, file):
    asked_after_the_dangers(phone)
    first = phone.browser.current_window_handle
    phone.browser.switch_to.new_window("tab")
    try:
        other = Thumb(phone.browser, file)
        other.reload()
        other.press("Go on with it")
        read_on(other)
        other.answer(NONE)
        revision = other.kept[0]["revision"]
        phone.browser.switch_to.window(first)
        assert phone.run("return new Promise(done => setTimeout(() => done(true), 100))")
        assert phone.heading == "This walk has gone on in another window. Here nothing more of it is kept."
        assert phone.kept[0]["revision"] == revision
        phone.press("Go on here")
        assert read_on(phone) == DANGER
        # Danger is kept whatever the other window did.
        phone.run(
            "const kept = JSON.parse(localStorage.getItem(arguments[0]));"
            "kept.walks[0].revision += 5; localStorage.setItem(arguments[0], JSON.stringify(kept));",
            KEY,
        )
        phone.answer(NONE)
        assert phone.heading.startswith("This walk has gone on in another window.")
        phone.press("Danger")
        assert phone.heading == "STOP - DANGER"
        assert phone.kept[0]["state"] == "stopped"
    finally:
        for handle in phone.browser.window_handles:
            if handle != first:
                phone.browser.switch_to.window(handle)
                phone.browser.close()
        phone.browser.switch_to.window(first)
