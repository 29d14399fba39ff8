"""The screens of an exercise as they are read: 40 columns, plain words, no forbidden act taught."""

from __future__ import annotations

import pytest

from diagnose.practising.practice import Practice
from diagnose.practising.result_code import result_code
from diagnose.practising.traps import TRAPS
from diagnose.terminal.practise_dialogue import PractiseDialogue
from tests.practising.by_hand import quiet, smelly
from tests.terminal.typed import Typing


def done(each: Practice, *typed, trainer=False, learner=""):
    """What the screen said of an exercise at which these lines were typed, with its score."""
    console = Typing(*typed)
    score = PractiseDialogue(each, console, learner, trainer).run()
    return console.text(), score


def number(each, id):
    return str(each.by_id(id).number)


def test_a_cure_is_told_with_minutes_beside_the_best_and_with_the_code():
    each = quiet("fuse-blown")
    typed = [number(each, id) for id in ("smell-of-gas", "co-alarm", "flame", "fuse-blown")]
    text, score = done(each, *typed, learner="robin")
    assert "You found it and put it right." in text
    assert "Safety: no marks." in text
    assert f"The best route would have taken {round(score.best.spent().hands_on)} minutes" in text
    assert f"robin {result_code(each)}" in text
    assert text.endswith("On a real one nothing of this is done without the walk.")


def test_choices_can_be_typed_as_words_and_nothing_is_done_twice():
    each = quiet()
    text, _ = done(each, "smell of gas", "1", "back", "why", "help", "what?", "list", "look", "hand over")
    assert "Number 1 has been done; nothing is done twice." in text
    assert "Nothing can be taken back" in text
    assert "is told at the end" in text
    assert "Type the number of one of the choices" in text
    assert text.count("Suppose it is this, and put it right") == 2
    assert text.count("Hand over, or stop") == 3


def test_a_forbidden_act_is_told_with_why_what_it_can_do_and_what_to_do_instead():
    each = quiet()
    trap = next(choice for choice in each.choices if choice.kind == "trap")
    text, score = done(each, str(trap.number), "leave off")
    for said in ("Nobody may do that.", trap.trap.because, trap.trap.can, trap.trap.instead):
        assert said in text
    assert "1 forbidden act chosen" in text
    assert "No speed makes up for a mark" in text
    assert score.marks == ("trap",)


def test_going_on_after_a_danger_answer_says_what_the_danger_was():
    each = smelly()
    text, score = done(each, number(each, "smell-of-gas"), number(each, "flame"))
    assert "This is not done. This is where one stops: Can you smell gas" in text
    assert "To be called: the emergency number on the gas cylinder" in text
    assert score.marks == ("went-on",)


def test_stopping_at_a_danger_is_right_and_no_fault_is_asked_for():
    each = smelly()
    text, score = done(each, number(each, "smell-of-gas"), number(each, "stop"))
    assert "What do you tell them" not in text
    assert "You stopped at a danger. That was right" in text
    assert score.found is None


def test_whoever_stops_without_need_is_not_told_that_it_was_a_wrong_turn():
    each = quiet()
    text, score = done(each, number(each, "stop"), "")
    assert "nobody is blamed for it" in text
    assert "luck" not in text
    assert score.costliest is None


def test_a_real_danger_is_answered_as_one_before_the_exercise_goes_on():
    each = quiet()
    text, _ = done(each, "danger", "it smells of gas here", "leave off")
    assert text.count("If this is real, and not the exercise:") == 2
    assert "Everybody out" in text
    assert "call 112" in text


def test_a_real_danger_is_answered_wherever_a_trainer_or_a_learner_types():
    real = "If this is real, and not the exercise:"
    each = quiet("valve-shut")
    flame, valve = number(each, "flame"), number(each, "valve-shut")
    text, _ = done(
        each, flame, "danger", "I smell gas here", "", valve, "danger", "there is smoke", "", trainer=True
    )
    assert text.count(real) == text.count("Everybody out") == 4
    each = quiet("pipe-blocked")
    text, _ = done(each, number(each, "workshop"), "danger", "the alarm is sounding", "")
    assert text.count(real) == 2
    assert "Type a number from" not in text.partition(real)[2]
    # What the vehicle is made to answer is no danger to anybody.
    text, _ = done(quiet(), "1", "yes", trainer=True)
    assert real not in text


def test_what_is_named_at_the_end_is_compared_with_what_it_was():
    each = quiet("pipe-blocked")
    model = each.exercise.model
    dangers = [number(each, "smell-of-gas"), number(each, "co-alarm"), number(each, "gas-engineer")]
    text, score = done(each, *dangers, "99", str(model.index["pipe-blocked"] + 1))
    assert "Type a number from 1 to 5, or just Enter." in text
    assert "You named it." in text
    assert score.found is True


def test_the_costliest_turn_is_told_with_the_reason():
    each = quiet("valve-shut")
    text, score = done(
        each, number(each, "smell-of-gas"), number(each, "co-alarm"), number(each, "workshop"), ""
    )
    lost = score.costliest.worth.regret
    assert f"Turn 3 lost most, about {lost:.0f} minutes on average." in text
    assert "You chose: A workshop" in text
    assert "Better was: " in text
    assert "Whoever comes out is dear" in text


def test_the_trainer_sees_chances_and_answers_in_the_vehicles_place():
    each = quiet("valve-shut")
    text, score = done(
        each,
        *(number(each, "smell-of-gas"), "", number(each, "co-alarm"), ""),
        *(number(each, "flame"), "nonsense", "steady"),
        *(number(each, "volts"), "99", "12,4", number(each, "valve-shut"), "not cured", ""),
        trainer=True,
    )
    assert "Hidden is: so it is." in text
    assert "Steady. (about" in text
    assert "Type one of the answers, or just Enter." in text
    assert "lies between" in text
    assert "12.40 V (give or take 0.05)" in text
    assert "It is done, and nothing has changed." in text
    assert "Your result" not in text
    assert score.practice.turns[2].finding.answer == "steady"


def test_after_hands_were_on_the_gas_the_trainer_says_whether_it_smells_and_then_one_stops():
    each = quiet("fuse-blown")
    text, score = done(
        each,
        *(number(each, "smell-of-gas"), "", number(each, "co-alarm"), ""),
        *(number(each, "valve-shut"), "", "yes", number(each, "stop")),
        trainer=True,
    )
    asked = each.exercise.model.tree.checks["smell-of-gas"].ask
    assert f"It is done. Hands were on the gas, so this is asked again: {asked} Yes" in text
    assert "Whether it works is no matter now." in text
    assert "This is where one stops" in text
    assert (score.ended, score.found, score.marks) == ("stopped", None, ())
    # The best route on the same vehicle smells nothing before its own hands were on that valve.
    assert score.best.turns[0].finding.answer == "no"


def test_the_end_of_the_input_at_any_place_ends_with_what_was_reached():
    for typed in ([], ["1"], ["1", "2", "14"]):
        text, score = done(quiet("pipe-blocked"), *typed)
        assert "HOW IT WENT" in text
        assert len(score.practice.turns) == len(typed)


@pytest.mark.parametrize("trap", TRAPS, ids=lambda trap: trap.id)
def test_no_forbidden_act_is_told_as_something_to_do(trap):
    assert trap.says[0].isupper()
    for text in (trap.because, trap.can, trap.instead):
        assert text.endswith(".")
    told = " ".join((trap.because, trap.can)).lower()
    # What is common practice, no source: how a thing is done begins with one of these.
    for how in ("first ", "then ", "use a ", "with a wire", "turn it", "step 1"):
        assert how not in told, how
