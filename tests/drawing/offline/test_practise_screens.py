"""The screens of an exercise on the phone, from the trainer's code to the result that is handed in."""

from __future__ import annotations

import pytest

from diagnose.practising.exercise import Exercise
from diagnose.practising.practice import Practice
from diagnose.practising.result_code import result_code
from diagnose.practising.scoring import scored
from diagnose.terminal.practise_debrief import debrief_page
from diagnose.terminal.practise_page import outcome_page
from diagnose.walking.views import NOT_CHECKED
from tests.drawing.offline.thumb import Thumb, page_file
from tests.trees.shipped import model_of, route_of, tree_of

pytestmark = pytest.mark.long

ID = "heater-no-fire"
TITLES = {ID: tree_of(ID).symptom}


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    browser.get_log("browser")
    thumb = Thumb(browser, page_file(tmp_path_factory.mktemp("practise")))
    thumb.phone()
    yield thumb
    thumb.put_down()
    assert browser.get_log("browser") == []


def begun(phone, code):
    """An exercise that the trainer gave out, its rules read."""
    phone.open().press("Practise with a hidden fault")
    phone.run("document.getElementById('exercise-code').value = arguments[0]", code)
    return phone.press("Take this exercise", "Begin")


def unfold(phone):
    phone.browser.execute_async_script(
        "document.querySelectorAll('details').forEach(each => { each.open = true; });"
        "setTimeout(arguments[0], 20)"
    )


def choose(phone, number):
    """Presses a choice by its number, wherever it is folded up."""
    press_first(phone, "startsWith", f"{number}. ")


def press_stop(phone):
    press_first(phone, "includes", ". Stop here")


def press_first(phone, fits, text):
    unfold(phone)
    found = "find(each => each.textContent[arguments[0]](arguments[1]))"
    phone.run(f"[...document.querySelectorAll('button')].{found}.click()", fits, text)


def lines(page):
    """What a page at the prompt says, a paragraph each, whatever its width."""
    return [line.text.strip() for line in page.lines if line.text.strip()]


def done(practice, phone, *choices):
    for choice in choices:
        practice.choose(choice)
        choose(phone, choice.number)


def test_every_screen_of_an_exercise_on_ones_own_tree_says_that_nobody_checked_it(phone):
    phone.open().press("Practise with a hidden fault")
    assert NOT_CHECKED not in phone.text
    for pressed in ("Goes on here", "Begin", "Leave off, and see how it went"):
        phone.press(pressed)
        assert NOT_CHECKED in phone.text, pressed
    phone.press("Another exercise", TITLES[ID], "Begin")
    assert NOT_CHECKED not in phone.text


@pytest.mark.parametrize(("seed", "fault", "named"), [(4711, 9, "igniter"), (12, 0, None)])
def test_an_exercise_says_what_the_prompt_says_and_hands_in_the_same_result(phone, seed, fault, named):
    model = model_of(ID)
    exercise = Exercise(model, seed, fault)
    practice = Practice(exercise, route_of(ID), TITLES)
    begun(phone, exercise.code())
    dangers = [each for each in practice.choices if each.group == "dangers"]
    others = [each for each in practice.choices if each.kind in ("check", "trap") and each not in dangers]
    remedy = next(each for each in practice.choices if each.kind == "remedy")
    for choice in [*dangers, *others[:6], remedy]:
        if practice.over or practice.stop:
            break
        done(practice, phone, choice)
        said = phone.text.replace("\n", " ")
        for line in lines(outcome_page(practice, practice.turns[-1], 10_000)):
            assert " ".join(line.split()) in said, line
    if not practice.over:
        done(practice, phone, practice.by_id("stop" if practice.stop else model.tree.refer_to))
    if practice.turns[-1].became in ("handed-over", "stopped") and not practice.stop:
        practice.named = next((id for id in model.ids if named and named in id), None)
        says = {each.id: each.says for each in model.hypotheses}
        phone.press(says[practice.named] if practice.named else "I cannot tell")
    else:
        phone.press("See how it went")
    assert result_code(practice) in phone.text
    unfold(phone)
    said = phone.text.replace("\n", " ")
    # The costliest turn is reckoned otherwise where the program reckons exactly, so its part is apart.
    part = (
        "Turn ",
        "You chose",
        "Better was",
        "What you",
        "By then",
        "It would",
        "Its answer",
        "Whoever comes",
    )
    for line in lines(debrief_page(scored(practice), 10_000)):
        if not line.startswith((*part, "HOW IT WENT")) and not line[0].isdigit():
            assert " ".join(line.split()).rstrip(":") in said, line


def test_no_screen_of_an_exercise_breaks_a_rule_of_wcag(phone):
    found = []
    for scheme, width in (("light", 360), ("dark", 320)):
        phone.phone(width=width, scheme=scheme)
        phone.open().press("Practise with a hidden fault")
        for press in ((), ("The blown-air gas heater will not fire",), ("Begin",)):
            phone.press(*press)
            found.append(phone.judged())
        unfold(phone)
        found.append(phone.judged())
        press_stop(phone)
        found.append(phone.judged())
        phone.press("I cannot tell")
        unfold(phone)
        found.append(phone.judged())
        assert phone.run("return document.documentElement.scrollWidth") == width
    assert found == [[]] * 12
    phone.phone()


def test_an_exercise_is_no_walk_and_what_was_missed_is_kept_for_exercises_on_that(phone):
    exercise = Exercise(model_of(ID), 5, 3)
    begun(phone, exercise.code())
    assert "PRACTICE" in phone.text
    press_stop(phone)
    phone.press("I cannot tell")
    assert phone.kept == []
    fault = exercise.vehicle().fault_id
    kept = phone.run("return JSON.parse(localStorage.getItem('diagnose.practise'))")
    assert kept == {ID: {fault: {"met": 1, "missed": 1}}}
    phone.press("Another exercise")
    phone.run(
        "const select = document.getElementById('exercise-how'); select.value = 'misses';"
        "select.dispatchEvent(new Event('change'))"
    )
    phone.press("The blown-air gas heater will not fire", "Begin")
    phone.press("Leave off, and see how it went")
    assert "You did not find it." in phone.text
    # Left off, so neither met nor missed.
    assert phone.run("return JSON.parse(localStorage.getItem('diagnose.practise'))") == kept


def test_danger_at_the_foot_of_an_exercise_is_a_real_one(phone):
    begun(phone, Exercise(model_of(ID), 5, 3).code())
    phone.press("Danger")
    assert phone.heading == "STOP - DANGER"
    assert "112" in phone.text


def test_what_is_no_code_of_an_exercise_is_told_beside_the_field(phone):
    phone.open().press("Practise with a hidden fault")
    for typed, told in (("", "There is no code here."), ("<b>9", '"<" is in no code.')):
        phone.run("document.getElementById('exercise-code').value = arguments[0]", typed)
        phone.press("Take this exercise")
        assert phone.run("return document.getElementById('exercise-trouble').textContent") == told
        focused = phone.run("return document.activeElement.id")
        assert focused == "exercise-code"
