"""Advice on the texts of a tree: too hard, too long for a small screen, or without a source.

The widths are those of a telephone or a narrow terminal, 40 letters: a name fits on two lines, a question on
three, what is to be done on ten (common practice, no source). What to do until help comes is read at leisure,
so that it may be as long as the format lets it be. The texts of the common files are not judged here: no
author of a tree can change them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.knowledge.ids import quoted
from diagnose.knowledge.reading_grade import GRADE, grade, is_hard
from diagnose.terms import TOP, Advice, Check, Event, Mark, Tree

NAME, QUESTION, INSTRUCTION = 80, 120, 400
"""The most letters of a symptom, cause or answer; of a question; of what is to be done, or prevented."""
LONGEST_WORD = 24
"""Letters that a word may have, so that a screen of 40 columns never has to break one."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One text with its place, what it is called, how long it may be, and whether an owner reads it."""

    at: Mark
    name: str
    text: str
    most: int | None
    """Letters; None where only the format's own limit holds."""
    owner: bool = True


def advice_on_texts(tree: Tree) -> tuple[Advice, ...]:
    """What is to be said of the texts of a tree, whether it is accepted or not, by place.

    Takes some 0.1 s for a tree, nearly all of it for the grades.
    """
    found = [advice for shown in shown_texts(tree) for advice in _judged(shown)]
    if not any(source.strip() for source in tree.sources):
        text = "the tree says nowhere where its figures come from; write sources: [shares are judgement]"
        found.append(_advice(Mark(tree.file, 1, 1), "sources-missing", f"{text}, or what they rest on"))
    return tuple(sorted(set(found)))


def _judged(shown: Shown) -> Iterator[Advice]:
    if shown.most is not None and len(shown.text) > shown.most:
        text = (
            f"{shown.name} has {len(shown.text)} letters; with more than {shown.most} it fills a small screen"
        )
        yield _advice(shown.at, "text-long", f"{text}, so leave out or split")
    for word in shown.text.split():
        if len(word) > LONGEST_WORD:
            text = f"{shown.name} has the word {quoted(word)}, which a narrow screen breaks"
            yield _advice(shown.at, "word-long", f"{text}; {LONGEST_WORD} letters are the most")
    if shown.owner and is_hard(shown.text):
        text = f"{shown.name} is read at grade {grade(shown.text):.1f}, {GRADE:g} is the most for an owner"
        yield _advice(shown.at, "text-hard", f"{text}; take shorter sentences and words")


def _advice(at: Mark, name: str, text: str) -> Advice:
    return Advice(at.file, at.line, at.column, name, f"{text} ({name})")


def shown_texts(tree: Tree) -> Iterator[Shown]:
    """Every text of a tree's own that somebody is shown; empty ones are left out."""
    for shown in _every_text(tree):
        if shown.text:
            yield shown


def _every_text(tree: Tree) -> Iterator[Shown]:
    start = Mark(tree.file, 1, 1)
    yield Shown(start, "symptom", tree.symptom, NAME)
    yield Shown(start, "ask of cured_when", tree.cured_when.ask, QUESTION)
    for event in tree.events.values():
        if event.id != TOP:
            yield from _of_event(event, event.mark or start)
    for check in tree.checks.values():
        if not check.fixed and not check.fact:
            yield from _of_check(check, check.mark or start)
    for referral in tree.referrals.values():
        if not referral.fixed:
            yield Shown(start, f"say of referral {quoted(referral.id)}", referral.say, INSTRUCTION)
            yield Shown(start, f"until_help of {quoted(referral.id)}", referral.until_help, None)


def _of_event(event: Event, at: Mark) -> Iterator[Shown]:
    yield Shown(at, f"says of {quoted(event.id)}", event.says, NAME)
    yield Shown(at, f"prevent of {quoted(event.id)}", event.prevent, INSTRUCTION)
    remedy = event.remedy
    if remedy is not None and remedy.kind == "do":
        owner, at = remedy.by == "owner", remedy.mark or at
        yield Shown(at, f"do of {quoted(event.id)}", remedy.text, INSTRUCTION, owner)
        yield Shown(at, f"how of the remedy of {quoted(event.id)}", remedy.how, INSTRUCTION, owner)


def _of_check(check: Check, at: Mark) -> Iterator[Shown]:
    owner = check.by == "owner"
    yield Shown(at, f"ask of {quoted(check.id)}", check.ask, QUESTION, owner)
    yield Shown(at, f"how of {quoted(check.id)}", check.how, INSTRUCTION, owner)
    if check.reading is None:  # bands have no text of their own
        for answer in check.answers:
            name = f"answer {quoted(answer.id)} of {quoted(check.id)}"
            yield Shown(at, name, answer.says, NAME, owner)
