"""Walks that stand at a check of a shipped tree, and the answers there that stop."""

from __future__ import annotations

from diagnose.terms import Finding, Step
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.views import Question
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order


def stop_answers(tree):
    """(check, answer) of every answer that stops."""
    return [
        (check, answer)
        for check in tree.checks.values()
        for answer in check.answers
        if answer.id in check.stop_on
    ]


def told_by(tree, words):
    """The stop answers of a tree whose question or answer has all these words."""
    return [
        (check, answer)
        for check, answer in stop_answers(tree)
        if all(word in f"{check.ask} {answer.says}".lower() for word in words.split(", "))
    ]


def harmless(check):
    """An answer that does not stop."""
    return next(answer.id for answer in check.answers if answer.id not in check.stop_on)


def asked(tree, check):
    """A walk that stands at a check, all danger questions before it answered harmlessly."""
    steps = (Step("check", check), Step("referral", tree.refer_to))
    journal = MemoryJournal()
    facts = [Finding(fact, answers[0]) for fact, answers in tree.applies_to.items()]
    walk = Walk.begin(tree, Order(tree, steps), journal, HandClock(), facts=facts)
    while walk.view().check != check:
        walk.answer(harmless(tree.checks[walk.view().check]))
    assert isinstance(walk.view(), Question)
    return walk, journal
