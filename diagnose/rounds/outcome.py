"""What a round has come to: what is wrong, what is left, what is bought, who is called, what stays unused."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.common import Common
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import RoundPast
from diagnose.rounds.sitting import Sitting
from diagnose.terms import Referral
from diagnose.terms.rounds import Task, TaskMark


@dataclass(frozen=True, slots=True)
class Wrong:
    """Something that is wrong."""

    task: Task
    note: str = ""
    overdue: tuple[str, ...] = ()
    case: int | None = None
    state: str = ""
    """How that case stands."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where the round stands, for a page, a document or a fleet."""

    fine: tuple[Task, ...]
    wrong: tuple[Wrong, ...]
    left: Mapping[str, tuple[str, ...]]
    """Task that was not looked at to an end -> the tasks that hold it back (none: it was put off)."""
    not_fitted: tuple[Task, ...]
    minutes: float
    """What is left takes so many minutes, ways and idle time counted."""
    parts: tuple[tuple[str, str], ...]
    """(what is perhaps to be bought, the task for whose sake)."""
    referrals: tuple[tuple[Referral, tuple[str, ...]], ...]
    """Whom to call -> the tasks that are wrong."""
    stopped: bool


def outcome_of(
    sitting: Sitting,
    common: Common,
    state_of: Callable[[int], str] = lambda _: "",
    past: RoundPast | None = None,
) -> Outcome:
    """What the marks come to; a task whose date on the card is due is wrong, whoever looked at it or not.

    Something whose walk ended in a cure counts as left until it was looked at once more.
    """
    past = past or sitting.past
    there, open_tasks, held = sitting.there(past), sitting.open_tasks(past), sitting.held(past)
    wrong = tuple(_wrong(sitting, there, past.marks, open_tasks, state_of))
    are_wrong = {each.task.id for each in wrong}
    ends = {id: mark.end for id, mark in past.marks.items()}
    left = {
        id: held.get(id, ())
        for id in there
        if id not in are_wrong and (ends.get(id, "not-done") == "not-done" or id in open_tasks)
    }
    done = frozenset(sitting.round.tasks) - left.keys()
    plan = planned(sitting.round.tasks, sitting.round.after, common.places, done)
    return Outcome(
        fine=tuple(task for id, task in there.items() if ends.get(id) == "fine" and id not in are_wrong),
        wrong=wrong,
        left={id: left[id] for id in plan.order},
        not_fitted=tuple(task for id, task in there.items() if ends.get(id) == "not-fitted"),
        minutes=plan.minutes,
        parts=tuple((part, each.task.id) for each in wrong for part in each.task.parts_to_buy),
        referrals=_referrals(wrong, common),
        stopped=sitting.stopped_by(past) is not None,
    )


def _wrong(
    sitting: Sitting,
    there: Mapping[str, Task],
    marks: Mapping[str, TaskMark],
    open_tasks: Mapping[str, Task],
    state_of: Callable[[int], str],
) -> Sequence[Wrong]:
    found = []
    for id, task in there.items():
        mark, overdue = marks.get(id), sitting.overdue(task)
        end = mark.end if mark is not None else "not-done"
        again = end == "wrong" and id in open_tasks
        if end != "not-fitted" and (overdue or (end == "wrong" and not again)):
            case = mark.case if mark is not None else None
            state = state_of(case) if case is not None else ""
            found.append(Wrong(task, mark.note if mark is not None else "", overdue, case, state))
    return found


def _referrals(wrong: Sequence[Wrong], common: Common) -> tuple[tuple[Referral, tuple[str, ...]], ...]:
    """Whom what is wrong is left to; where a walk may still settle it, to whom it is left at last."""
    called: dict[str, list[str]] = {}
    for each in wrong:
        if each.task.refer in common.referrals:
            called.setdefault(each.task.refer or "", []).append(each.task.id)
    return tuple((common.referrals[id], tuple(tasks)) for id, tasks in called.items())
