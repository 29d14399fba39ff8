"""A walk on the phone's page in a real Chromium: every step is a press, danger and a stop are firm."""

from __future__ import annotations

import pytest

from tests.drawing.offline.made_up_views import every_view
from tests.drawing.offline.thumb import HARM, Thumb, page_file

pytestmark = pytest.mark.long

STOP = "STOP - DANGER"
FIRST = "Is anything of the mains wet, scorched, buzzing, broken or gnawed, or has anybody felt a tingle?"
SECOND = "Is a battery cracked, swollen, hot, leaking or frozen, or does it smell of rotten eggs?"
NONE = "No, none of these"
CLEARED = "The last walk of this vehicle was stopped for danger."


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    return page_file(tmp_path_factory.mktemp("page"))


@pytest.fixture
def phone(browser, file):
    """The page just opened on a phone that kept nothing; nothing was asked for, nothing complained of."""
    browser.get_log("browser")
    thumb = Thumb(browser, file)
    thumb.phone()
    yield thumb.open()
    thumb.put_down()
    asked = browser.execute_script("return performance.getEntriesByType('resource').map(each => each.name)")
    assert asked == []
    assert browser.get_log("browser") == []


def test_what_is_wrong_is_found_by_pressing_alone(phone):
    assert phone.heading == "What is wrong?"
    assert phone.run("return document.querySelectorAll('input, textarea, [contenteditable]').length") == 0
    assert "If you smell gas, an alarm sounds" in phone.text
    phone.press("The pump brings no water, or keeps cutting in")
    assert phone.heading == "Before you go on"
    assert "WARNING" in phone.text
    assert FIRST not in phone.text  # nothing can be answered before the cautions were read
    phone.press("I have read this")
    assert phone.heading == FIRST
    assert phone.browser.title == f"{FIRST} - The pump brings no water, or keeps cutting in"
    assert phone.run("return document.activeElement.tagName") == "H1"


def test_many_symptoms_are_folded_up_by_system(phone):
    phone.show_many()
    assert "Hot water" in phone.text
    assert "frost valve" not in phone.text
    phone.press("Water")
    assert "The frost valve opens and lets the hot water out" in phone.text


def test_a_danger_question_has_no_default_and_no_slip_answers_it(phone):
    phone.begin()
    assert phone.run("return document.querySelectorAll('input:checked').length") == 0
    phone.press("This is my answer")
    assert phone.heading == FIRST
    assert phone.said == "Choose one of the answers first."
    phone.press(NONE)
    assert phone.heading == FIRST
    phone.press("This is my answer")
    assert phone.heading == SECOND
    assert phone.run("return document.querySelectorAll('input:checked').length") == 0


def test_the_second_of_two_quick_taps_answers_nothing(phone):
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys

    # One screen after the other with an answer at the very same place.
    phone.run(
        "window.taps = 0;"
        "window.again = () => Diagnose.layout.show({"
        "  heading: `Screen ${window.taps}`,"
        "  answers: [Diagnose.dom.button('Yes', () => { window.taps += 1; window.again(); })],"
        "});"
        "window.again();"
    )
    tap = ActionChains(phone.browser).move_to_element(
        phone.browser.find_element(By.CSS_SELECTOR, ".answers button")
    )
    tap.pause(0.5).click().click().pause(0.1).click().perform()
    assert phone.run("return window.taps") == 1
    ActionChains(phone.browser).pause(0.7).click().perform()
    assert phone.run("return window.taps") == 2
    # A key is no slip of a finger that fell on the last screen: the focus was moved away from there.
    phone.browser.find_element(By.CSS_SELECTOR, ".answers button").send_keys(Keys.ENTER)
    assert phone.run("return window.taps") == 3


def test_not_sure_about_danger_helps_once_and_then_stops(phone):
    phone.begin().answer("Not sure")
    assert phone.heading == FIRST
    assert "fetch a torch, or ask somebody to look, listen and smell with you" in phone.text
    phone.answer("Not sure")
    assert phone.heading == STOP
    assert "Not sure." in phone.text


def test_danger_stops_from_every_screen_without_a_question(phone):
    for name, view in every_view().items():
        if name == "stopped":
            continue
        for reread in (False, True):
            phone.show(view, reread)
            assert phone.heading != STOP
            phone.press("Danger")
            assert phone.heading == STOP, name
            assert "112" in phone.text


def test_danger_stops_before_a_walk_and_from_the_settings(phone):
    phone.press("Danger")
    assert phone.heading == STOP
    assert "carbon monoxide" in phone.text
    phone.press("To the start", "Your country and numbers", "Danger")
    assert phone.heading == STOP
    phone.press("To the start", "Practise with a hidden fault", "Danger")
    assert phone.heading == STOP


def test_there_is_no_way_out_of_a_stop(phone):
    phone.begin().answer(NONE).press("Danger")
    assert phone.heading == STOP
    assert phone.kept[0]["state"] == "stopped"
    assert phone.run("return document.getElementById('back')") is None
    for _ in range(2):
        # The phone's own way back goes through the history of the browser, in its own time.
        phone.browser.execute_async_script(
            "const done = arguments[0]; addEventListener('popstate', () => setTimeout(done), {once: true});"
            "history.back();"
        )
        assert phone.heading == STOP
        assert phone.said == "There is no way back out of a stop."
    phone.reload()
    assert phone.heading == STOP
    phone.press("Sheet to hand over", "Back")
    assert phone.heading == STOP
    phone.press("To the start", "The blown-air gas heater will not fire")
    assert phone.heading.startswith(CLEARED)
    phone.answer("No")
    assert phone.heading == STOP
    assert "Nobody qualified has cleared the vehicle" in phone.text


def test_back_takes_an_answer_back_on_the_screen_and_by_the_phone(phone):
    phone.begin().answer(NONE)
    assert phone.heading == SECOND
    phone.press("Back")
    assert phone.heading == FIRST
    phone.answer(NONE)
    phone.browser.execute_async_script(
        "const done = arguments[0]; addEventListener('popstate', () => setTimeout(done), {once: true});"
        "history.back();"
    )
    assert phone.heading == FIRST
    phone.press("Back")
    assert phone.heading == "What is wrong?"


def test_why_and_how_things_stand_are_told_when_asked_for(phone):
    phone.begin().answer(NONE).answer(NONE)
    while phone.heading == "Before you go on":
        phone.press("I have read this")
    assert "in 10" not in phone.text
    phone.press("So far the likeliest")
    assert "in 10" in phone.text
    assert "Our judgement, no cases yet." in phone.text
    phone.press("Why this?")
    assert "So far the likeliest is" in phone.text
    assert "What comes after each answer:" in phone.text


def test_a_tree_of_ones_own_is_marked_and_its_texts_are_texts(phone):
    assert "(your own tree; not checked by this project)" in phone.text
    phone.press(f"{HARM} is cold")
    assert "nobody of this project has checked it" in phone.text
    seen = [phone.text]
    phone.run("document.getElementById('reading').value = '-5'")
    phone.press("This is my reading")
    seen.append(phone.text)
    phone.press("So far the likeliest", "Why this?")
    seen.append(phone.text)
    phone.press("Did that, works now")
    seen.append(phone.text)
    phone.press("Yes")
    assert phone.heading == "CURED"
    seen.append(phone.text)
    assert all(HARM in each for each in seen)
    assert "nobody of this project has checked it" in seen[-1]
    assert phone.kept[0]["state"] == "cured"
    phone.press("Danger")
    assert phone.heading == STOP
    assert phone.kept[0]["state"] == "stopped"
    assert phone.run("return [window.harmed ?? null, document.images.length, document.scripts.length]") == [
        None,
        0,
        7,  # the page's own: data, five trees, one script
    ]


def test_no_end_certifies_anything(phone):
    ends = [view for view in every_view().values() if "state" in view]
    assert len({view["kind"] for view in ends}) == 6
    for view in ends:
        phone.show(view)
        assert "This does not certify that the vehicle is safe." in phone.text


def test_another_tree_that_knows_better_is_gone_on_with_dangers_first(phone):
    phone.press("Goes on here")
    assert phone.heading == "It points to this: another tree knows better."
    assert 'So it goes on with "The pump brings no water, or keeps cutting in".' in phone.text
    phone.press("Go on", "I have read this")
    assert phone.heading == FIRST
    phone.answer(NONE)
    assert [walk["tree"] for walk in phone.kept] == ["water-pump"]


def test_a_tree_that_the_page_does_not_hold_ends_with_somebody_to_call(phone):
    phone.press("Goes on elsewhere")
    assert "Its questions are not in this page, so it ends here." in phone.text
    assert "A workshop for leisure vehicles." in phone.text
    assert "Leave the faulty part unused." in phone.text
    phone.press("Danger")
    assert phone.heading == STOP


def test_only_keys_lead_to_an_end(phone):
    from selenium.webdriver.common.keys import Keys

    def at():
        return phone.run("return document.activeElement.textContent || document.activeElement.value")

    def go_to(text):
        for _ in range(30):
            phone.browser.switch_to.active_element.send_keys(Keys.TAB)
            if at().startswith(text):
                return phone.browser.switch_to.active_element
        raise AssertionError(f"no key leads to {text!r}")

    go_to("The pump brings").send_keys(Keys.ENTER)
    go_to("I have read this").send_keys(Keys.ENTER)
    for _ in range(2):
        go_to("no").send_keys(Keys.SPACE)
        go_to("This is my answer").send_keys(Keys.ENTER)
    for _ in range(25):
        if phone.run("return document.querySelector('.certificate') !== null"):
            break
        there = phone.run(
            "return [...document.querySelectorAll('.answers button')].map(each => each.textContent)"
        )
        key = Keys.ENTER
        worse = "Did that, no better" if "Did that, no better" in there else there[-1]
        go_to(worse).send_keys(key)
    assert phone.heading == "TO BE HANDED OVER"
    assert "This does not certify that the vehicle is safe." in phone.text
    phone.press("Danger")
    assert phone.heading == STOP


def test_on_paper_stands_the_sheet_alone(phone):
    phone.begin().press("Danger", "Sheet to hand over")
    phone.phone(media="print")
    shown = "return [...document.querySelectorAll('button, footer')].some(each => each.checkVisibility())"
    assert phone.run(shown) is False
    assert "HAND-OVER SHEET" in phone.text
