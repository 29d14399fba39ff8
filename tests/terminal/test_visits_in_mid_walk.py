"""Whole visits with a console that types by itself: danger, going back, readings, wrong answers."""

from __future__ import annotations

import pytest

from diagnose.terms import DiagnoseError

HEATER = "heater-no-fire"


@pytest.mark.parametrize("typed", ["there is smoke coming out", "I smell gas", "my head aches"])
def test_a_danger_told_in_ones_own_words_in_mid_walk_stops(visit, stored, typed):
    _, said = visit("no", typed, "3", words=HEATER)
    assert "STOP - DANGER" in said
    assert stored()[1].state == "stopped"


def test_words_that_deny_a_danger_are_asked_about_and_a_whole_no_goes_on(visit):
    _, said = visit("heater dead but no smell of gas", "n", "no", "1")
    assert "Type the whole word: yes or no. If you are not sure, type yes." in said
    assert "Here it has to be the whole word: yes or no." in said
    assert "The blown-air gas heater will not fire" in said


def test_words_that_deny_a_danger_stop_where_it_is_there_after_all(visit):
    for answer in ("yes", "not sure", "danger"):
        _, said = visit("the heater is off, no smell of gas", answer)
        assert "STOP - DANGER" in said


@pytest.mark.parametrize(
    "words", ["I smell gas", "the alarm is going", "got a shock", "smoke", "danger", "we all feel sick"]
)
def test_danger_told_first_stops_before_any_search_and_opens_no_case(visit, stored, words):
    for said in (visit(words=words)[1], visit(words)[1]):
        assert "STOP - DANGER" in said
        assert "Emergency number: 112." in said
        assert "This does not certify that the vehicle is safe." in said
    assert stored() == {}


def test_not_sure_at_a_danger_question_first_offers_help_then_counts_as_danger(visit, stored):
    _, said = visit("not sure", "not sure", "3", words=HEATER)
    assert "fetch a torch, or ask somebody" in said
    assert "Still not sure? Type: not sure. It then counts as danger." in said
    assert "STOP - DANGER" in said
    assert stored()[1].state == "stopped"


def test_a_danger_question_takes_neither_number_nor_letter_nor_enter(visit, stored):
    _, said = visit("1", "n", "", "y", "no", words=HEATER)
    assert said.count("Here it has to be the whole word: no, yes or not sure.") == 4
    assert "Is an alarm sounding" in said


def test_back_takes_the_last_answer_back_but_not_more_than_there_is(visit, stored):
    _, said = visit("no", "back", "back", "leave off", words=HEATER)
    assert "There is nothing to go back to." in said
    assert said.count("Can you smell gas or hear hissing") == 2
    assert "back" in [entry.kind for entry in stored()[1].entries]


def test_there_is_no_way_back_out_of_a_stop(visit, stored):
    _, said = visit("yes", "back", words=HEATER)
    assert said.count("Can you smell gas or hear hissing") == 2  # asked, and told as the reason of the stop
    assert stored()[1].state == "stopped"
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1)
    assert str(refused.value).startswith("case 1 was stopped for danger and cannot be taken up again")


def test_a_reading_is_taken_with_comma_unit_and_prefix_and_refused_out_of_range(visit, stored):
    _, said = visit("on", "99", "12 furlongs", "twelve", "12400 mV", words="lamp-dark")
    assert "a reading here lies between 0 and 16 V." in said
    assert '"furlongs" is not a unit of this reading' in said
    assert "Type a number between 0 and 16 V, such as 8 V, or: not sure." in said
    assert "Put a new bulb in." in said
    assert "Then it takes a night, but not you: nobody need be there. Costs about 4 pounds or euros." in said
    reading = [entry for entry in stored()[1].entries if entry.kind == "finding"][-1]
    assert (reading.subject, reading.answer, reading.value) == ("volts-at-lamp", "alive", 12.4)


def test_a_band_can_be_named_where_there_is_no_figure(visit, stored):
    visit("on", "ali", words="lamp-dark")
    found = [entry for entry in stored()[1].entries if entry.kind == "finding"][-1]
    assert (found.subject, found.answer, found.value) == ("volts-at-lamp", "alive", None)


def test_why_and_help_answer_and_ask_again(visit):
    _, said = visit("why", "help", words="lamp-dark")
    assert 'This tells "The switch at the lamp is off"' in said
    assert "So far the likeliest is" in said
    assert "our judgement, no cases yet)." in said
    assert "take the last answer back" in said
    assert said.count("Which way does the switch stand?") == 3


def test_a_wrong_answer_is_asked_again_with_what_would_be_right(visit):
    _, said = visit("9", "it stands", "off", "not sure", words="lamp-dark")
    assert "Type a number from 1 to 2, the first letters of an answer, or: help." in said
    assert 'That fits "It stands at on" or "It stands at off".' in said
    assert "Say whether it works now, is no better, or could not be done." in said


def test_a_case_does_not_go_on_in_the_tree_of_another_symptom(visit, stored):
    visit("off", words="lamp-dark")
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1, words="bed-lamp-dark")
    assert str(refused.value) == 'case 1 is about "lamp-dark", not about "bed-lamp-dark"'
    assert stored()[1].state == "left-off"
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1, words="no such words")
    assert str(refused.value).startswith('the tree "lamp-dark" of case 1 is not at hand; name its file: ')


def test_whoever_tells_of_something_new_need_not_first_say_so(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("the table lamp is dead", "1", "leave off", days=0.1)
    assert "Something was left off." in said
    assert "Type a number" not in said
    assert "> the table lamp is dead" in said
    assert "Which way does the switch stand?" in said


def test_words_that_are_like_nothing_are_asked_again(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("yes, go on please", "", "leave off", days=0.1)
    assert "> yes, go on please Type a number from 1 to 2, or just Enter to skip this." in said
    assert "What is wrong?" in said


def test_danger_told_there_stops_as_ever(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("I smell gas", days=0.1)
    assert "STOP - DANGER" in said
