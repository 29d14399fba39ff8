"""What is said before anything is concluded from answers that do not go together, or that fit nothing.

With a remedy it is a notice, and `back` leads to the questions. An ending cannot be gone back from so easily,
so before it the later of two such answers is asked for again. It is said once, and not again for the same
answers, whether they were left as they were or looked at anew and given alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.cases.records import Entry
from diagnose.terms import NOT_LISTED, NOT_SURE, Step
from diagnose.walking.past import Past, causes_of, check_of
from diagnose.walking.reasoner import Reasoner
from diagnose.walking.scene import backwards

if TYPE_CHECKING:
    from diagnose.reasoning.fitting import Pair

_ENDINGS = ("referral", "handover")
_FIT_NOTHING = (
    "Answers like these seldom come together, whichever of the known causes it is: in fewer than 1 in 100 "
    "vehicles."
)


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is said, and the check that is asked again before an ending, if one may be."""

    says: str
    ask: str | None = None


def doubt_before(past: Past, reasoner: Reasoner, step: Step, starts: int) -> Doubt | None:
    """The doubt to be said before a step: the pair that goes together most seldom, else that nothing fits.

    None before a check, and where nothing new is to be said. `starts` is how many tries are used up.
    """
    if step.kind != "remedy" and step.kind not in _ENDINGS:
        return None
    found = {line.subject: line for line in past.live if line.kind == "finding"}
    doubts = reasoner.doubts(past.situation)
    for pair in doubts.pairs:
        lines = sorted((found[pair.first], found[pair.second]), key=lambda line: line.number)
        if not _said(past, lines):
            return _about_pair(past, reasoner, step, starts, pair, lines)
    told = [line for line in found.values() if line.answer != NOT_SURE and line.subject in past.tree.checks]
    if doubts.surprising and not doubts.pairs and not _said(past, told):
        ending = (
            "Say so to whoever you call." if step.kind in _ENDINGS else "To go back over them, type: back."
        )
        return Doubt(f"{_FIT_NOTHING} {ending}")
    return None


def _about_pair(
    past: Past, reasoner: Reasoner, step: Step, starts: int, pair: Pair, lines: list[Entry]
) -> Doubt:
    says = f"These two answers seldom go together: {_answer(past, lines[0])}; and {_answer(past, lines[1])}."
    rare = _if_both_are_right(past, pair)
    if step.kind == "remedy":
        return Doubt(f"{says} Check them again.{_way_back(past, lines)}{rare}")
    for line, other in (lines[::-1], lines):
        if reasoner.may_ask_again(past.situation, line.subject, starts):
            way = _steps_back(past, other)
            elsewhere = f"; for the other one, type: {way}" if way else ""
            return Doubt(
                f"{says} Check them again. One of them is asked again now{elsewhere}.{rare}", line.subject
            )
    return Doubt(f"{says} Say so to whoever you call.{rare}")


def _way_back(past: Past, lines: list[Entry]) -> str:
    """How to get to the two questions, the nearer one first."""
    earlier, later = (_steps_back(past, line) for line in lines)
    if later and earlier:
        return f" To answer the later one again, type: {later}; for the earlier one: {earlier}."
    return f" To answer again, type: {later or earlier}." if later or earlier else ""


def _steps_back(past: Past, line: Entry) -> str:
    """The words that take a walk back to an answer, or nothing where it was known ahead."""
    numbers = backwards(past)
    if line.number not in numbers:
        return ""
    steps = numbers.index(line.number) + 1
    return "back" if steps == 1 else f"back {steps}"


def _answer(past: Past, line: Entry) -> str:
    check = check_of(past.tree, line.subject)
    ask = check.ask.strip() if check is not None else line.subject
    if line.value is not None and check is not None and check.reading is not None:
        return f'"{ask}" {line.value:g} {check.reading.unit}'
    says = {answer.id: answer.says for answer in check.answers} if check is not None else {}
    return f'"{ask}" {says.get(line.answer or "", line.answer or "").rstrip(". ")}'


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
