"""What a case's journal comes to: which lines still stand, and what they count for.

The journal is only ever added to. Going back is a line that names the line taken back, so what was done and
undone can be shown later, and a crash can never lose more than the line being written. Pure functions.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.cases.records import Entry
from diagnose.terms import NOT_SURE


def standing(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The lines that were not taken back, in their order; the `back` lines themselves are left out.

    Read from the end: a `back` that was itself taken back takes nothing back. A finding or trial whose id
    was `dropped` by a later line (it has no place in the changed tree) does not stand either.
    """
    taken: set[str] = set()
    dropped: set[str] = set()
    kept: list[Entry] = []
    for entry in reversed(entries):
        if str(entry.number) in taken:
            continue
        if entry.kind == "back":
            taken.add(entry.subject)
            continue
        if entry.kind == "dropped":
            dropped.add(entry.subject)
        elif entry.kind in ("finding", "tried") and entry.subject in dropped:
            continue
        kept.append(entry)
    return tuple(reversed(kept))


def findings(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The latest standing finding of each check or fact, *not sure* included, in the order of the journal."""
    latest = {entry.subject: entry for entry in standing(entries) if entry.kind == "finding"}
    return tuple(sorted(latest.values(), key=lambda entry: entry.number))


def counted_answers(entries: Sequence[Entry]) -> dict[str, str]:
    """Check -> answer, as a confirmed case counts them: the latest that stands, *not sure* left out.

    A reading counts under the band that holds it, which is its line's answer.
    """
    return {
        entry.subject: entry.answer
        for entry in findings(entries)
        if entry.answer is not None and entry.answer != NOT_SURE
    }


@dataclass(frozen=True, slots=True)
class Counted:
    """What one confirmed case adds to the sums: one under its cause, one under each answer."""

    symptom: str
    cause: str
    year: int
    """The year in which the case was opened, in UTC: confirming late does not make a fault younger."""
    ending: str
    """The case's state; that of a case confirmed while still open follows it when it ends."""
    answers: Mapping[str, str]


CauseKey = tuple[str, str, int, str]
"""(symptom, cause, year, ending)"""
AnswerKey = tuple[str, str, str, str, int, str]
"""(symptom, cause, check, answer, year, ending)"""
Changes = tuple[dict[CauseKey, int], dict[AnswerKey, int]]
"""What to add to each sum over causes, and to each over answers."""


def change_of_sums(before: Counted | None, after: Counted | None) -> Changes:
    """What to add to each sum when a case counted as `before` is to count as `after`; no key with zero."""
    causes: Counter[CauseKey] = Counter()
    answers: Counter[AnswerKey] = Counter()
    for counted, sign in ((before, -1), (after, 1)):
        if counted is None:
            continue
        causes[counted.symptom, counted.cause, counted.year, counted.ending] += sign
        for check, answer in counted.answers.items():
            answers[counted.symptom, counted.cause, check, answer, counted.year, counted.ending] += sign
    return {k: n for k, n in causes.items() if n}, {k: n for k, n in answers.items() if n}
