"""What a round has come to: what is wrong, what is left, what is bought, who is called, what stays unused."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from diagnose.knowledge.common import Common
from diagnose.rounds.fleet_needs import parts_of
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import RoundPast
from diagnose.rounds.sitting import Sitting
from diagnose.terms import Referral
from diagnose.terms.rounds import Task


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
    """Task that is still to be looked at -> the tasks that hold it back (none: nobody did yet)."""
    for_a_date: tuple[str, ...]
    """Those of them that are wrong only for their date, until the card has a new one."""
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
    """What the marks come to.

    A task whose date on the card is over and that nobody has looked at is left: the date counts in the
    verdict by itself, and says what is bought and who is called. One that is wrong only for its date is wrong
    and left. What was put right counts as left until it was looked at once more.
    """
    past = past or sitting.past
    there, held = sitting.there(past), sitting.held(past)
    wrong = tuple(_wrong(sitting, there, past, state_of))
    ends = {id: mark.end for id, mark in past.marks.items()}
    left = {id: held.get(id, ()) for id in sitting.left(past)}
    ails = {
        id: task
        for id, task in there.items()
        if ends.get(id) != "not-fitted" and (sitting.overdue(task) or id in {each.task.id for each in wrong})
    }
    done = frozenset(sitting.round.tasks) - left.keys()
    plan = planned(sitting.round.tasks, sitting.round.after, common.places, done)
    return Outcome(
        fine=tuple(
            task for id, task in there.items() if ends.get(id) == "fine" and id not in ails and id not in left
        ),
        wrong=wrong,
        left={id: left[id] for id in plan.order},
        for_a_date=tuple(each.task.id for each in wrong if each.task.id in left),
        not_fitted=tuple(
            task for id, task in there.items() if ends.get(id) == "not-fitted" and id not in left
        ),
        minutes=plan.minutes,
        parts=tuple(
            (part.says, part.task)
            for id, task in ails.items()
            for part in parts_of(task, past.marks.get(id), tuple(sitting.vehicle.overdue))
        ),
        referrals=_referrals(ails.values(), common),
        stopped=sitting.stopped_by(past) is not None,
    )


def _wrong(
    sitting: Sitting, there: Mapping[str, Task], past: RoundPast, state_of: Callable[[int], str]
) -> Iterable[Wrong]:
    again = sitting.again(past)
    for id, task in there.items():
        mark, overdue = past.marks.get(id), sitting.overdue(task)
        if mark is None or mark.end != "wrong" or id in again:
            continue
        state = state_of(mark.case) if mark.case is not None else ""
        yield Wrong(task, mark.note, overdue, mark.case, state)


def _referrals(ails: Iterable[Task], common: Common) -> tuple[tuple[Referral, tuple[str, ...]], ...]:
    """Whom what is wrong is left to; where a walk may still settle it, to whom it is left at last."""
    called: dict[str, list[str]] = {}
    for task in ails:
        if task.refer in common.referrals:
            called.setdefault(task.refer or "", []).append(task.id)
    return tuple((common.referrals[id], tuple(tasks)) for id, tasks in called.items())
