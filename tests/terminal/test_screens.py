"""What stands on a screen, word for word, at 40 columns."""

from __future__ import annotations

from dataclasses import replace

from diagnose.terminal.conversation import end_page, page_of
from diagnose.terminal.explaining import help_page, what_would_be_right, why_page
from diagnose.terminal.figures import money_in_words
from diagnose.terminal.understanding import Unclear
from diagnose.terms import NOT_LISTED, Caution, Ranked, Reading, Referral, Step
from diagnose.walking.leading import Leads, Reason
from diagnose.walking.views import (
    Choice,
    Effort,
    LeftOff,
    Question,
    Referred,
    Stopped,
    Where,
)

RANKING = (
    Ranked("cylinder-empty", "The cylinder in use is empty", 0.38, 0.2, 0.55),
    Ranked("regulator", "The regulator passes too little gas", 0.14, 0.05, 0.3),
    Ranked(NOT_LISTED, "", 0.04, 0.01, 0.1),
)
HOB = Question(
    symptom="The heater will not start",
    case=3,
    check="hob-flame",
    ask="Does a hob ring burn with a steady blue flame?",
    how="Open one window. Light one ring, watch it, turn it off.",
    choices=(Choice("steady", "Steady and blue"), Choice("none", "No flame")),
    effort=Effort(4, 600, 5),
    where=Where("in the kitchen"),
    ranking=RANKING,
    can_go_back=True,
)


def shown(view, **more):
    return page_of(view, 40, shipped=True, **more).text()


def test_a_question():
    assert (
        shown(HOB)
        == """\
Does a hob ring burn with a steady blue
flame?
  Open one window. Light one ring, watch
  it, turn it off.
  About 4 minutes. Then it takes a
  night, but not you: nobody need be
  there. Costs about 5 pounds or euros.
  In the kitchen.

  1  Steady and blue
  2  No flame

So far the likeliest:
  - The cylinder in use is empty: about
    4 in 10
  - The regulator passes too little gas:
    about 1 in 10
  Our judgement, no cases yet.

Or type: not sure, back, why, help,
leave off, danger."""
    )


def test_the_ranking_tells_of_the_cases_it_rests_on():
    ranking = (replace(RANKING[0], cases=12.0), replace(RANKING[1], cases=19.0), RANKING[2])
    text = " ".join(shown(replace(HOB, ranking=ranking)).split())
    assert "The cylinder in use is empty: about 4 in 10 (12 of 31 cases)" in text
    assert "judgement" not in text


def test_whoever_takes_over_or_comes_back_reads_what_the_likeliest_rests_on():
    common = {"symptom": HOB.symptom, "case": 3, "ranking": RANKING}
    engineer = Referral("gas-engineer", "A gas engineer", 240, "It will not light", "Leave it off")
    handed = Referred(**common, state="referred", prevention=(), left_alone=(), done=(), referral=engineer)
    put_aside = LeftOff(**common, state="left-off", prevention=(), left_alone=(), done=())
    learned = (replace(RANKING[0], cases=12.0), replace(RANKING[1], cases=19.5), RANKING[2])
    told = """
The likeliest so far: the cylinder in
use is empty (about 4 in 10; our
judgement, no cases yet).
"""
    for view in (handed, put_aside):
        assert told in end_page(view, 40, shipped=True).text()
        text = " ".join(end_page(replace(view, ranking=learned), 40, shipped=True).text().split())
        assert "is empty (about 4 in 10; about 12 of 32 cases)." in text


def test_where_somebody_is_already_nothing_sends_them_there_again():
    assert "While you are there, in the kitchen." in " ".join(shown(HOB, been={"in the kitchen"}).split())


def test_cautions_come_before_the_question_and_are_never_cut():
    say = "Carbon monoxide has no smell and kills. " * 6
    text = shown(replace(HOB, cautions=(Caution("carbon-monoxide", "DANGER", say),)))
    assert text.startswith("DANGER\n  Carbon monoxide has no smell and\n  kills.")
    assert " ".join(text.split()).count("Carbon monoxide has no smell and kills.") == 6


def test_what_a_file_says_cannot_steer_the_terminal():
    text = shown(replace(HOB, ask="Is \x1b[2J it \x07 lit?\u202e", how="\x9b31mred"))
    assert not [letter for letter in text if ord(letter) < 32 and letter != "\n"]
    assert "\x9b" not in text
    assert "\u202e" not in text


def test_a_reading_says_its_range_and_how_to_type_it():
    view = replace(
        HOB, measures=Reading("V", 0, 16, 0.1), choices=(Choice("low", "low"), Choice("good", "good"))
    )
    text = " ".join(shown(view).split())
    assert "Type what you read, such as 8 V. It lies between 0 and 16 V." in text
    assert "No figure, but you can tell? Then type the word: low good" in text


def test_a_tree_of_ones_own_says_so_on_every_screen():
    for view in (HOB, Stopped(symptom="", state="stopped", referrals=(), because="Danger.")):
        make = page_of if isinstance(view, Question) else end_page
        text = " ".join(make(view, 40, shipped=False).text().split())
        assert "nobody of this project has checked it." in text


LEADS = (
    Leads(("Steady and blue", "Not sure"), Step("check", "panel"), "What does the panel show?"),
    Leads(("No flame",), Step("remedy", "cylinder-empty"), "The cylinder in use is empty"),
    Leads(("Weak",), Step("check", "start"), ""),
    Leads(("Yellow",), Step("stop", "gas-engineer"), "A gas engineer"),
    Leads(("None",), Step("referral", "workshop"), "A workshop for leisure vehicles"),
    Leads(("Other",), Step("handover", "habitation-dead"), "habitation-dead"),
)
REASON = Reason(12.4, ("The cylinder is empty", "The regulator is stuck"), {}, RANKING[0])


def why_said(reason, view=HOB, **more):
    return " ".join(why_page(reason, view, 40, **more).text().split())


def test_why_is_two_sentences_and_what_each_answer_leads_to():
    page = why_page(replace(REASON, leads=LEADS), HOB, 40)
    assert (
        page.text()
        == """\
This tells "The cylinder is empty" and
"The regulator is stuck" apart and saves
the worth of about 12 minutes on
average; it takes a night, but not you.
So far the likeliest is "The cylinder in
use is empty", about 4 in 10 (between 20
and 55 in 100; our judgement, no cases
yet).

What comes after each answer:
  Steady and blue; Not sure:
    What does the panel show?
  No flame:
    What to do if it is this: the
    cylinder in use is empty.
  Weak:
    Another check; what to mind is said
    with it.
  Yellow:
    It stops for danger. To be called: a
    gas engineer.
  None:
    It goes to others: a workshop for
    leisure vehicles.
  Other:
    Other questions, those of
    habitation-dead."""
    )


def test_answers_that_lead_to_the_same_words_stand_together():
    other = Leads(("It ticks",), Step("check", "spark"), "")
    text = why_said(replace(REASON, leads=(LEADS[2], LEADS[0], other)))
    assert "Weak; It ticks: Another check; what to mind is said with it. Steady and blue" in text


def test_why_says_that_one_is_there_already_and_that_waiting_is_nobodys_work():
    at_once = replace(HOB, effort=Effort(4))
    assert why_said(REASON, been={"in the kitchen"}).startswith("While you are there, this tells")
    assert "takes a night, but not you" in why_said(REASON)
    assert "but not you" not in why_said(REASON, at_once)
    assert why_said(REASON, at_once, been={"at the step"}).startswith("This tells")
    plain = Reason(0.2, (), {}, None)
    assert why_said(plain, at_once) == "This is the next best step."
    assert why_said(plain, at_once, been={"in the kitchen"}) == (
        "While you are there, this is the next best step."
    )
    assert why_said(Reason(600, (), {}, None), at_once) == (
        "This saves the worth of about 10 hours on average."
    )
    assert why_said(Reason(0, ("The lamp is off",), {}, None), at_once) == (
        'This shows whether it is "The lamp is off".'
    )


def test_in_a_stop_what_to_do_stands_first_and_what_two_dangers_share_is_said_once():
    out = Referral(
        "gas-escape", "The emergency number", 120, 'Say "LPG".', "All out now. No such place: call 112."
    )
    air = Referral("co-suspected", "112", 120, 'Say "CO".', "Into fresh air. No such place: call 112.")
    view = Stopped(
        symptom="",
        state="stopped",
        referrals=(out, air),
        because="You answered: danger.",
        first="Stop here. Out.",
    )
    assert (
        end_page(view, 40, shipped=True).text()
        == """\
STOP - DANGER

Stop here. Out.

Do this now:
  All out now. No such place: call 112.
Call:
  The emergency number.
Tell them:
  Say "LPG".

Do this now:
  Into fresh air.
Call:
  112.
Tell them:
  Say "CO".

Emergency number: 112.

Why it stops here: You answered: danger.
There is no way on from here. Somebody
qualified has to clear this before the
vehicle is walked again.

This does not certify that the vehicle
is safe.

Stop here. Out."""
    )


def test_help_at_a_danger_question_speaks_of_whole_words_and_of_nothing_that_does_not_work_there():
    usual = help_page(HOB, 80).text()
    assert "the number of an answer" in usual
    assert "why this is asked now" in usual
    first = help_page(replace(HOB, ask_first=True), 80).text()
    assert "whole word" in first
    for other in ("the number of an answer", "could not", "why"):
        assert other not in first


def test_more_than_one_answer_that_begins_with_no_is_told_with_the_words_to_type():
    choices = (Choice("quiet", "No: it is quiet"), Choice("none-fitted", "No alarm"), Choice("ill", "Yes"))
    view = replace(HOB, ask_first=True, choices=choices)
    page = what_would_be_right(view, Unclear(choices[:2]), 80)
    assert page.text() == "More than one answer begins so. Type the whole word: quiet or none fitted."


def test_one_is_one():
    assert money_in_words(1.2) == "1 pound or euro"
    assert money_in_words(35.0) == "35 pounds or euros"


def test_where_every_answer_leads_to_the_same_it_is_said_once():
    one = Leads(("Steady and blue",), Step("check", "panel"), "What does the panel show?")
    other = replace(one, answers=("No flame", "Not sure"))
    text = why_said(replace(REASON, leads=(one, other)))
    assert text.endswith("What comes next, whatever the answer: What does the panel show?")
    assert "after each answer" not in text
    alone = why_said(replace(REASON, leads=(one,)))
    assert "What comes after each answer: Steady and blue: What does the panel show?" in alone
