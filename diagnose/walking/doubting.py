"""What is said before anything is concluded from answers that do not go together, or that fit nothing.

Said once: with the remedy or the ending that comes next, and not again for the same answers, whether they
were left as they were or looked at anew and given alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from diagnose.cases.records import Entry
from diagnose.terms import NOT_LISTED, NOT_SURE
from diagnose.walking.past import Past, causes_of, check_of
from diagnose.walking.reasoner import Reasoner
from diagnose.walking.scene import backwards

if TYPE_CHECKING:
    from diagnose.reasoning.fitting import Pair

CONCLUDING = ("remedy", "referral", "handover")
"""The kinds of step by which something is concluded."""


def doubts_about(past: Past, reasoner: Reasoner) -> tuple[str, ...]:
    """One plain notice, or none: the pair that goes together most seldom, else that nothing fits well."""
    found = {line.subject: line for line in past.live if line.kind == "finding"}
    doubts = reasoner.doubts(past.situation)
    for pair in doubts.pairs:
        if not _said(past, (found[pair.first], found[pair.second])):
            return (_pair_in_words(past, pair, found),)
    told = [line for line in found.values() if line.answer != NOT_SURE and line.subject in past.tree.checks]
    if doubts.surprising and not doubts.pairs and not _said(past, told):
        return (
            "Answers like these seldom come together, whichever of the known causes it is: in fewer than 1 "
            "in 100 vehicles. Before you go on, think over what you answered. To look at the last answer "
            "again, type: back.",
        )
    return ()


def _pair_in_words(past: Past, pair: Pair, found: dict[str, Entry]) -> str:
    one, other = (_answer(past, found[check]) for check in (pair.first, pair.second))
    return (
        f"These two answers seldom go together: {one}; and {other}. Check them again."
        f"{_way_back(past, found[pair.first], found[pair.second])}{_if_both_are_right(past, pair)}"
    )


def _answer(past: Past, line: Entry) -> str:
    check = check_of(past.tree, line.subject)
    ask = check.ask.strip() if check is not None else line.subject
    if line.value is not None and check is not None and check.reading is not None:
        return f'"{ask}" {line.value:g} {check.reading.unit}'
    says = {answer.id: answer.says for answer in check.answers} if check is not None else {}
    return f'"{ask}" {says.get(line.answer or "", line.answer or "").rstrip(". ")}'


def _way_back(past: Past, one: Entry, other: Entry) -> str:
    """How to get to the two questions: how many answers `back` has to take back, the nearer one first."""
    numbers = backwards(past)
    steps = sorted(numbers.index(line.number) + 1 for line in (one, other) if line.number in numbers)
    if not steps:
        return ""
    nearer = "back" if steps[0] == 1 else f"back {steps[0]}"
    if len(steps) == 1:
        return f" To answer again, type: {nearer}."
    return f" To answer the later one again, type: {nearer}; for the earlier one: back {steps[1]}."


def _if_both_are_right(past: Past, pair: Pair) -> str:
    if pair.explained_by is None:
        return ""
    if pair.explained_by == NOT_LISTED:
        return " If both are right, it may be something that is not listed here."
    causes = " and ".join(cause.says.rstrip(". ") for cause in causes_of(past.tree, pair.explained_by))
    return f" If both are right, it may be this: {causes}."


def _said(past: Past, lines: Iterable[Entry]) -> bool:
    """Whether a notice about these findings was shown before.

    A remedy that was offered since was offered with it; and of what was taken back and then answered alike,
    the later answer stands there twice.
    """
    later = max(lines, key=lambda line: line.number, default=None)
    if later is None:
        return True
    offered = any(line.kind == "tried" and line.number > later.number for line in past.lines)
    alike = [
        line
        for line in past.lines
        if line.kind == "finding"
        and line.number < later.number
        and (line.subject, line.answer) == (later.subject, later.answer)
    ]
    return offered or bool(alike)
