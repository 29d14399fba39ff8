"""What stands on the paper of a round, as texts; `round_list.py` sets it out.

What could hurt stands first, in full; then the tasks in the order that takes the fewest minutes, under the
places where they are done. Each row has a number; the code at the end says what they stand for, and by both
what was ticked is brought back. Beside the number stand four characters and the task's id, for a list that
was printed before something of the round changed.
"""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from diagnose.rounds.brought import facts_of
from diagnose.rounds.list_code import lettered, list_code, row_marks
from diagnose.rounds.past import earlier, holding_ends
from diagnose.rounds.presence import is_never_missing
from diagnose.rounds.sitting import Sitting
from diagnose.terms import Caution, Place
from diagnose.terms.rounds import Round, Task

ENDS = ("fine", "wrong", "not done", "not fitted")
DANGER = (
    "Smell of gas, an alarm, somebody unwell, smoke, a shock: stop. Everybody out, pets too, touching no "
    "switch; call {number} from outside."
)
NOT_OURS = "Part of this round is not what comes with the program: nobody of this project has checked it."
STOPPED = "Danger stopped this vehicle, and nobody qualified has cleared it since: do none of this before."
MOST_BOXES = 6
"""Of answers of a fact; with more of them the answer is written down."""


@dataclass(frozen=True, slots=True)
class PaperTask:
    """One task as it is printed."""

    number: int
    """Of its row, from 1."""
    sign: str
    """The four characters beside it."""
    id: str
    what: str
    how: str
    takes: str
    reasons: tuple[str, ...]
    """What the fleet's cases, or the trees, say for it."""
    due: tuple[str, ...]
    first: str
    """What has to have come before."""
    unused: str
    ends: tuple[str, ...] = ENDS
    """What can be ticked: something that no vehicle lacks is never *not fitted*."""


@dataclass(frozen=True, slots=True)
class PaperFact:
    """Something that is asked of the vehicle."""

    letter: str
    ask: str
    answers: tuple[str, ...]
    """In words; none where there are too many of them for boxes."""


@dataclass(frozen=True, slots=True)
class PaperList:
    """Everything on the paper, as texts."""

    title: str
    says: str
    danger: str
    notices: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    """(signal word, text)"""
    facts: tuple[PaperFact, ...]
    places: tuple[tuple[str, tuple[PaperTask, ...]], ...]
    code: str
    command: str
    """What brings the marks back."""


def on_paper(
    sitting: Sitting,
    order: Sequence[str],
    title: str,
    number: str,
    vehicle: str,
    options: Sequence[str],
    places: Mapping[str, Place],
) -> PaperList:
    """The tasks in that order; `number` is called in danger.

    The list's code is of the vehicle that is so called; `options` are what the command that brings it back
    has to repeat.
    """
    round, common = sitting.round, sitting.common
    tasks = [round.tasks[id] for id in order]
    cautions: dict[str, Caution] = {each.id: each for task in tasks for each in sitting.cautions_of(task)}
    signs = row_marks(round)
    grouped = [
        (places[at].says.capitalize(), tuple(_task(sitting, round, task, order, signs) for task in some))
        for at, some in groupby(tasks, key=lambda task: task.at)
    ]
    asked = _asked(sitting, tasks)
    code = list_code(round, order, common.facts, vehicle, asked)
    return PaperList(
        title,
        round.says,
        DANGER.format(number=number),
        (*(() if sitting.stopped_by() is None else (STOPPED,)), *(() if round.shipped else (NOT_OURS,))),
        tuple((each.word, each.say) for each in sorted(cautions.values(), key=_gravity)),
        tuple(
            PaperFact(
                letter,
                check.ask,
                tuple(answer.says for answer in check.answers) if len(check.answers) <= MOST_BOXES else (),
            )
            for letter, check in lettered(round, common.facts, asked).items()
        ),
        tuple(grouped),
        code,
        shlex.join(["diagnose", "round", "--code", code, *options]),
    )


def _asked(sitting: Sitting, tasks: Sequence[Task]) -> tuple[str, ...]:
    """The facts that nobody has answered yet and that decide whether a task of the list is there."""
    checks = facts_of(sitting.round, sitting.common.facts)
    known = sitting.past.facts
    return tuple(
        id
        for id, check in checks.items()
        if id not in known
        and any(
            not task.applies_to.get(id, frozenset()).issuperset(check.answer_ids())
            for task in tasks
            if id in task.applies_to
        )
    )


def _task(
    sitting: Sitting, round: Round, task: Task, order: Sequence[str], signs: Mapping[str, str]
) -> PaperTask:
    takes = [f"{task.minutes:g} minutes"]
    takes += [f"then {task.wait:g} minutes of waiting"] if task.wait else []
    takes += [
        round.wants[want][:1].lower() + round.wants[want][1:] for want in task.wants if want in round.wants
    ]
    return PaperTask(
        order.index(task.id) + 1,
        signs[task.id],
        task.id,
        task.what,
        task.how,
        "; ".join(takes) + ".",
        tuple(sitting.reasons.get(task.id, ())),
        sitting.overdue(task),
        _first(round, task, order),
        f"While it is wrong or not done, do not use: {task.must_not_use[:1].lower()}{task.must_not_use[1:]}."
        if task.must_not_use
        else "",
        ENDS[:-1] if is_never_missing(task) else ENDS,
    )


def _first(round: Round, task: Task, order: Sequence[str]) -> str:
    """What has to have come before, and what of it keeps the task from being done."""
    above, right_before = earlier(round.after, task.id), round.after.get(task.id, frozenset())
    holding = {
        id: ends
        for id in order
        if id in above
        and (ends := holding_ends(round.tasks[id], task))
        and (round.tasks[id].safety or id in right_before)
    }
    if not holding:
        first = [id for id in order if id in right_before]
        return f"After {_rows(first, order)}." if first else ""
    holds = "wrong or not done" if any("wrong" in ends for ends in holding.values()) else "not done"
    which = "Is it" if len(holding) == 1 else "Is one of them"
    return f"Only after {_rows(tuple(holding), order)}. {which} {holds}? Then tick: not done."


def _rows(ids: Sequence[str], order: Sequence[str]) -> str:
    numbers = [str(order.index(id) + 1) for id in ids]
    return f"row {numbers[0]}" if len(numbers) == 1 else f"rows {', '.join(numbers)}"


def _gravity(caution: Caution) -> int:
    words = ("DANGER", "WARNING", "CAUTION", "NOTICE")
    return words.index(caution.word) if caution.word in words else len(words)
