"""Every text of every shipped tree, laid out at 40 columns: nothing is wider, and no word is broken."""

from __future__ import annotations

from functools import cache

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terminal.conversation import end_page, page_of
from diagnose.terminal.explaining import help_page, what_would_be_right
from diagnose.terminal.questions import reminder_page
from diagnose.terminal.understanding import Chosen, Unclear, meaning, word_to_type
from diagnose.terminal.wrapping import display_width
from diagnose.terms import NOT_LISTED, Ranked
from diagnose.walking.views import (
    Choice,
    Cured,
    CuredQuestion,
    Effort,
    LeftAlone,
    LeftOff,
    Prevention,
    Question,
    Referred,
    RemedyOffered,
    Stopped,
    Unsure,
    Where,
)

NARROW, WIDE = 40, 88
OUTCOMES = (Choice("cured", "Did that, works now"), Choice("not-cured", "Did that, no better"))


@cache
def library():
    return Library()


def trees():
    return [pytest.param(id, id=id) for id in Library().ids()]


def ranking_of(tree):
    ranked = [Ranked(cause.id, cause.says, 0.1, 0.05, 0.2) for cause in tree.causes()]
    return (*ranked, Ranked(NOT_LISTED, "", 0.05, 0.01, 0.1))


def questions(tree):
    shared = {"symptom": tree.symptom, "case": 123, "can_go_back": True, "ranking": ranking_of(tree)}
    cautions = tuple(tree.caution_texts.values())
    for check in (*tree.checks.values(), *tree.facts.values()):
        choices = tuple(Choice(answer.id, answer.says) for answer in check.answers)
        place = tree.places[check.at].says if check.at else ""
        yield Question(
            **shared,
            cautions=cautions,
            check=check.id,
            ask=check.ask,
            how=check.how,
            choices=choices,
            measures=check.reading,
            effort=Effort(check.minutes, check.wait, check.price),
            where=Where(place),
            needs=check.needs,
            ask_first=check.id in tree.ask_first,
            starts=check.starts,
            tries_left=3,
        )
        yield Unsure(**shared, check=check.id, ask=check.ask, how=check.how, choices=choices)
    for cause in tree.causes():
        remedy = cause.remedy
        if remedy is not None and remedy.kind == "do":
            yield RemedyOffered(
                **shared,
                remedy=cause.id,
                says=cause.says,
                do=(remedy.text,),
                how=(remedy.how,),
                choices=OUTCOMES,
                effort=Effort(remedy.minutes, remedy.wait, remedy.price),
                where=(Where(tree.places[remedy.at].says if remedy.at else ""),),
                needs=remedy.needs,
                tries_left=1,
            )
    yield CuredQuestion(**shared, remedy="x", says="", ask=tree.cured_when.ask, minutes=12, choices=OUTCOMES)


def ends(tree):
    shared = {
        "symptom": tree.symptom,
        "case": 123,
        "ranking": ranking_of(tree),
        "prevention": tuple(Prevention(cause.says, cause.prevent) for cause in tree.causes()),
        "left_alone": tuple(LeftAlone(cause.says, "left for somebody qualified") for cause in tree.causes()),
    }
    for referral in tree.referrals.values():
        yield Referred(**shared, state="referred", referral=referral, register="the register")
        yield Stopped(**shared, state="stopped", referrals=(referral,), because="Danger.", first="Stop here.")
    yield Stopped(**shared, state="stopped", referrals=tuple(tree.referrals.values()), because="Danger.")
    for cause in tree.causes():
        yield Cured(**shared, state="cured", cause=cause.id, says=cause.says)
    yield LeftOff(**shared, state="left-off")


def screens(tree):
    """(what it is, a function from width to its page)."""
    for view in questions(tree):
        yield view, lambda width, view=view: page_of(view, width, shipped=True, first=True)
        yield view, lambda width, view=view: page_of(view, width, shipped=False)
        yield view, lambda width, view=view: reminder_page(view, width)
        yield view, lambda width, view=view: help_page(view, width)
        yield view, lambda width, view=view: what_would_be_right(view, Unclear(view.choices), width)
        yield view, lambda width, view=view: what_would_be_right(view, Unclear(), width)
    for view in ends(tree):
        yield view, lambda width, view=view: end_page(view, width, shipped=False)


@pytest.mark.parametrize("id", trees())
def test_no_line_is_wider_than_40_columns_and_no_word_is_broken(id):
    tree = library().tree(id)
    for view, page in screens(tree):
        narrow, wide = page(NARROW), page(WIDE)
        assert max(display_width(line.text) for line in narrow.lines) <= NARROW, view
        assert narrow.text().split() == wide.text().split(), view


@pytest.mark.parametrize("id", trees())
def test_every_answer_can_be_given_by_its_words_and_every_danger_answer_by_its_short_word(id):
    tree = library().tree(id)
    for view in questions(tree):
        if isinstance(view, Question):
            for number, choice in enumerate(view.choices, 1):
                whole = view.ask_first
                words = (word_to_type(choice, view.choices), choice.says, choice.id)
                typed = [*words, *([] if whole or view.measures else [str(number)])]
                for each in typed:
                    meant = meaning(each, view.choices, whole=whole, numbered=view.measures is None)
                    assert meant == Chosen(choice), (view.check, each)


@pytest.mark.parametrize("id", trees())
def test_every_end_says_that_nothing_is_certified(id):
    tree = library().tree(id)
    for view in ends(tree):
        for width in (NARROW, WIDE):
            text = " ".join(end_page(view, width, shipped=True).text().split())
            assert "This does not certify that the vehicle is safe." in text


def test_a_referral_and_a_stop_offer_no_way_round():
    tree = library().tree("heater-no-fire")
    for view in ends(tree):
        if isinstance(view, Referred | Stopped):
            text = " ".join(end_page(view, NARROW, shipped=True).text().split())
            assert "do not try any further" in text or "There is no way on from here" in text
            assert "--resume" not in text
