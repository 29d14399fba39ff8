from __future__ import annotations

import pytest

from diagnose.terminal.understanding import (
    COMMANDS,
    Chosen,
    Ordered,
    Unclear,
    command_of,
    meaning,
    word_to_type,
)
from diagnose.walking.views import Choice

FLAME = (
    Choice("steady", "Steady and blue"),
    Choice("weak", "Weak"),
    Choice("yellow", "Yellow or sooty"),
    Choice("none", "No flame"),
)
SMELL = (Choice("no", "No, neither"), Choice("yes", "Yes, a smell or a hiss"))
ALARM = (
    Choice("quiet", "No: the alarm works and is quiet, and all are well"),
    Choice("none-fitted", "No alarm is fitted or its test fails; all are well"),
    Choice("sounds-or-ill", "Yes: it sounds, or somebody is unwell"),
)


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("1", 0),
        (" 4 ", 3),
        ("2.", 1),
        ("s", 0),
        ("WEAK", 1),
        ("yellow or", 2),
        ("Yellow or sooty!", 2),
        ("no", 3),
        ("no flame", 3),
        ("none", 3),
    ],
)
def test_a_number_the_first_letters_or_the_words_will_do(typed, place):
    assert meaning(typed, FLAME) == Chosen(FLAME[place])


@pytest.mark.parametrize("typed", ["", "  ", "5", "0", "x", "flame", "999", "-", "²"])
def test_what_fits_nothing_is_unclear(typed):
    assert meaning(typed, FLAME) == Unclear()


def test_first_letters_that_fit_two_answers_are_asked_about():
    choices = (Choice("warm", "Warm"), Choice("wet", "Wet"))
    assert meaning("w", choices) == Unclear(choices)
    assert meaning("we", choices) == Chosen(choices[1])


def test_a_whole_word_wins_over_a_longer_one_that_starts_with_it():
    choices = (Choice("no-flame", "No flame"), Choice("no", "No"))
    assert meaning("no", choices) == Chosen(choices[1])


@pytest.mark.parametrize("typed", ["y", "ye", "1", "2", "n", "yes please", "Yes, a smell", ""])
def test_a_danger_question_takes_nothing_but_the_whole_word(typed):
    assert meaning(typed, SMELL, whole=True) == Unclear()


@pytest.mark.parametrize(
    ("typed", "place"), [("yes", 1), (" NO. ", 0), ("Yes, a smell or a hiss", 1), ("no, neither", 0)]
)
def test_a_danger_question_takes_the_word_or_the_whole_text(typed, place):
    assert meaning(typed, SMELL, whole=True) == Chosen(SMELL[place])


def test_every_answer_of_a_danger_question_has_a_short_word_of_its_own():
    assert [word_to_type(choice, ALARM) for choice in ALARM] == ["quiet", "none fitted", "yes"]
    for choice in ALARM:
        assert meaning(word_to_type(choice, ALARM), ALARM, whole=True) == Chosen(choice)


def test_at_a_danger_question_no_does_not_stand_for_quiet_nor_for_none_fitted():
    assert meaning("no", ALARM, whole=True) == Unclear(ALARM[:2])


def test_at_a_danger_question_yes_and_no_stand_for_the_one_answer_that_begins_so():
    frost = (Choice("mild", "No, it was milder"), Choice("frost", "Yes, it was that cold"))
    assert meaning("No.", frost, whole=True) == Chosen(frost[0])
    assert meaning("YES", frost, whole=True) == Chosen(frost[1])
    for typed in ("n", "ye", "nope", "yes it", "1"):
        assert meaning(typed, frost, whole=True) == Unclear()
    flue = (
        Choice("bare", "No, bare"),
        Choice("untried", "Yes; not tried"),
        Choice("tried", "Yes, and tried"),
    )
    assert meaning("yes", flue, whole=True) == Unclear(flue[1:])


@pytest.mark.parametrize(
    ("typed", "command"),
    [
        ("not sure", "not sure"),
        ("Not-sure", "not sure"),
        ("don't know", "not sure"),
        ("could not", "could not"),
        ("couldn't", "could not"),
        ("back", "back"),
        ("why?", "why"),
        ("HELP", "help"),
        ("?", "help"),
        ("leave off", "leave off"),
        ("quit", "leave off"),
        ("danger!", "danger"),
    ],
)
def test_the_words_that_always_work_do_so_at_every_question(typed, command):
    for choices, whole in ((FLAME, False), (SMELL, True), ((), True)):
        assert meaning(typed, choices, whole=whole) == Ordered(command)


def test_back_takes_a_number_of_answers():
    assert command_of("back 3") == Ordered("back", 3)
    assert command_of("back 0") is None


def test_three_letters_of_a_word_that_always_works_will_do_where_no_answer_fits():
    assert meaning("dang", FLAME) == Ordered("danger")
    assert meaning("da", FLAME) == Unclear()


def test_a_number_is_a_reading_where_one_is_asked_for():
    bands = (Choice("low", "low"), Choice("good", "good"))
    assert meaning("2", bands, numbered=False) == Unclear()
    assert meaning("12.4 V", bands, numbered=False) == Unclear()
    assert meaning("lo", bands, numbered=False) == Chosen(bands[0])


def test_an_answer_that_is_called_like_a_word_that_always_works_can_be_typed():
    choices = (Choice("back", "Back of the vehicle"), Choice("front", "Front"))
    assert meaning("back", choices) == Chosen(choices[0])
    assert meaning("danger", choices) == Ordered("danger")


def test_every_word_that_always_works_is_plain():
    assert all(word == word.strip().lower() and word.replace(" ", "").isalpha() for word in COMMANDS)
