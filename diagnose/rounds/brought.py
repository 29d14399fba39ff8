"""What comes back into a round from a file, a printed list or a phone: marks, and facts of the vehicle."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from diagnose.cases.rounds_records import RoundLine
from diagnose.knowledge.ids import nearest
from diagnose.rounds.again import as_noted
from diagnose.rounds.sitting import Sitting
from diagnose.terms import NOT_SURE, Check
from diagnose.terms.rounds import Round, TaskEnd
from diagnose.walking.danger_words import danger_in


@dataclass(frozen=True, slots=True)
class Ticked:
    """How one task ended."""

    task: str
    end: TaskEnd
    note: str = ""


@dataclass(frozen=True, slots=True)
class Brought:
    """Everything that was brought back, once nothing of it is wrong."""

    marks: tuple[Ticked, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)
    """Fact -> answer, or *not sure*."""


def dangers_in(marks: Iterable[Ticked]) -> tuple[Ticked, ...]:
    """Marks whose note speaks of danger, sure or not."""
    return tuple(mark for mark in marks if speaks_of_danger(mark.note))


def speaks_of_danger(text: str) -> bool:
    """Whether words may speak of danger, or name it without saying which."""
    return danger_in(text) is not None or re.search(r"\bdanger\b", text, re.IGNORECASE) is not None


def facts_of(round: Round, known: Mapping[str, Check]) -> dict[str, Check]:
    """The facts that tasks of the round hang on, in the order in which the tasks name them."""
    ids = dict.fromkeys(fact for task in round.tasks.values() for fact in task.applies_to)
    return {id: known[id] for id in ids if id in known}


def answer_meant(check: Check, typed: str) -> str | None:
    """The answer's id that a text means: an id, its words, or *not sure*, in any capitals; else None.

    >>> from diagnose.terms import Answer
    >>> build = Check("build", "What is it?", "", "look", "owner", 0, (Answer("van", "Campervan"),))
    >>> answer_meant(build, "CAMPERVAN"), answer_meant(build, "Not sure"), answer_meant(build, "boat")
    ('van', 'not-sure', None)
    """
    words = " ".join(typed.split()).casefold()
    if words.replace(" ", "-") == NOT_SURE:
        return NOT_SURE
    found = (answer.id for answer in check.answers if words in (answer.id, answer.says.casefold()))
    return next(found, None)


def no_answer(check: Check, shown: str, typed: str) -> tuple[str, str]:
    """What is said of a text that is no answer of a fact, and the nearest right word."""
    ids = (*check.answer_ids(), NOT_SURE)
    return f"{check.id} is {', '.join(ids[:-1])} or {ids[-1]}, not {shown}", nearest(typed.casefold(), ids)


def against_the_card(fact: str, answer: str, carded: Mapping[str, str]) -> str:
    """What is said of a fact that the card has otherwise; nothing where the two go together."""
    if fact not in carded or answer in (NOT_SURE, carded[fact]):
        return ""
    return f"{fact} is {carded[fact]} on the card, not {answer}; put the card right, or leave this out"


def lines_of(brought: Brought, going: Sitting, time: datetime, who: str) -> Sequence[RoundLine]:
    """The lines of the book; a task that a date of the card makes wrong is wrong, whatever was ticked.

    A fact that the card has is no line: the card wins.
    """
    on_card = {fact.check for fact in going.vehicle.facts}
    found = [
        RoundLine(time, "fact", fact, answer, who)
        for fact, answer in brought.facts.items()
        if fact not in on_card
    ]
    for mark in brought.marks:
        end, note = as_noted(mark.end, mark.note, going.overdue(going.round.tasks[mark.task]))
        found.append(RoundLine(time, "mark", mark.task, end, who, note))
    return found
