"""The code of a printed list: which round, which of its tasks in which order, and how they read.

Behind what all codes of rounds begin with stand, for each task of the round in its file's order, whether it
is on the list (weights 3 for yes, 1 for no), then a number (of 13^5) of the whole list as it was printed:
order, texts, questions. The order itself is worked out again from the tasks; where that does not give the
same number, the list was printed before something of it changed, and no row's number is trusted any more.

Beside each row stands a mark of four characters that is made of the task's first name and texts. It names
the task whatever its number is, and a task that reads otherwise today has another mark.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.cases.codes import ALPHABET, BASE, WrongCode, written
from diagnose.rounds.brought import facts_of
from diagnose.rounds.code_parts import Head, begun, first_name, tag
from diagnose.rounds.ordering import planned
from diagnose.terms import Check, Place
from diagnose.terms.rounds import Round

SIGNS = 4
"""Characters of a row's mark."""
WHOLE = BASE**5
_ON_IT = (3, 1)


@dataclass(frozen=True, slots=True)
class Rows:
    """What the rows of a printed list stand for today."""

    round: Round
    order: tuple[str, ...]
    """The task of each row, from the first; empty where the round has changed since it was printed."""
    marks: Mapping[str, str]
    """A row's mark -> its task; of those that read today as they were printed."""
    facts: Mapping[str, Check]
    """A letter -> the fact that is asked in its row; empty where the round has changed since."""

    @property
    def changed(self) -> bool:
        """Whether the list was printed before something of it changed."""
        return not self.order


def list_code(
    round: Round, order: Sequence[str], checks: Mapping[str, Check], vehicle: str, asked: Sequence[str]
) -> str:
    """The code of a list with these tasks in this order; `asked` are the facts that have a row."""
    packer = begun("list", round, checks, vehicle)
    for id in round.tasks:
        packer.weighed(0 if id in order else 1, _ON_IT)
    for fact in facts_of(round, checks):
        packer.weighed(0 if fact in asked else 1, (1, 1))
    return written(packer.even(_whole(round, order, checks, asked), WHOLE).number())


def rows_of(head: Head, round: Round, checks: Mapping[str, Check], places: Mapping[str, Place]) -> Rows:
    """What the rows of a list stand for. Raises WrongCode for a code that no list can have."""
    marks = {sign: id for id, sign in row_marks(round).items()}
    changed = Rows(round, (), marks, {})
    if not head.fits(round, checks):
        return changed
    there = [id for id in round.tasks if head.rest.weighed(_ON_IT) == 0]
    asked = [fact for fact in facts_of(round, checks) if head.rest.weighed((1, 1)) == 0]
    whole = head.rest.even(WHOLE)
    if head.rest.left:
        raise WrongCode("this code is not right; look at it again")
    left_out = frozenset(round.tasks) - set(there)
    order = planned(round.tasks, round.after, places, left_out).order
    if not order or whole != _whole(round, order, checks, asked):
        return changed
    return Rows(round, tuple(order), marks, lettered(round, checks, asked))


def row_marks(round: Round) -> dict[str, str]:
    """Task -> the four characters beside its row; no two tasks of a round have the same."""
    found: dict[str, str] = {}
    for id, task in round.tasks.items():
        number = tag("\n".join((first_name(task), task.what, task.how)), BASE**SIGNS)
        while _signs(number) in found.values():
            number = (number + 1) % BASE**SIGNS
        found[id] = _signs(number)
    return found


def lettered(round: Round, checks: Mapping[str, Check], asked: Sequence[str]) -> dict[str, Check]:
    """Letter -> the fact in its row, in the order of the round's facts."""
    there = [check for id, check in facts_of(round, checks).items() if id in asked]
    return {chr(ord("a") + at): check for at, check in enumerate(there)}


def _signs(number: int) -> str:
    return "".join(ALPHABET[number // BASE**place % BASE] for place in reversed(range(SIGNS)))


def _whole(round: Round, order: Sequence[str], checks: Mapping[str, Check], asked: Sequence[str]) -> int:
    marks = row_marks(round)
    rows = [f"{first_name(round.tasks[id])} {marks[id]}" for id in order]
    facts = [f"{check.id} {check.ask}" for check in lettered(round, checks, asked).values()]
    return tag("\n".join([round.id, *rows, "", *facts]), WHOLE)
