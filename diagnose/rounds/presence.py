"""Which tasks of a round are there for a vehicle, by what is known of it."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.terms import NOT_SURE, Check
from diagnose.terms.rounds import Round, Task

Facts = Mapping[str, str]
"""Fact -> its answer's id, or *not sure*."""

GRAVE = frozenset({"tyres-soft-old", "brakes-drag"})
"""Trees about what stops or carries the vehicle: a task that opens one leaves it not ready, whatever its file
says, and no vehicle is without."""
NEVER_MISSING = frozenset({"w6-belts", "j4-lamps"})
"""Other tasks about what every vehicle has; of belts a caravan has none, but an extinguisher."""


def is_never_missing(task: Task) -> bool:
    """Whether no vehicle is without what the task looks at: called *not fitted*, it is not done."""
    return task.id in NEVER_MISSING or not GRAVE.isdisjoint(task.opens)


def is_there(task: Task, facts: Facts) -> bool:
    """Whether a task is for this vehicle; what is not known leaves it in."""
    return all(facts.get(fact, NOT_SURE) in (*fits, NOT_SURE) for fact, fits in task.applies_to.items())


def tasks_there(round: Round, facts: Facts) -> dict[str, Task]:
    """The tasks of the round that are there for this vehicle, in the round's order."""
    return {id: task for id, task in round.tasks.items() if is_there(task, facts)}


def to_ask(task: Task, facts: Facts, checks: Mapping[str, Check]) -> str | None:
    """The first fact that decides whether the task is there and that nobody has been asked yet.

    A fact whose every answer fits decides nothing.
    """
    for fact, fits in task.applies_to.items():
        check = checks.get(fact)
        if fact not in facts and check is not None and not fits.issuperset(check.answer_ids()):
            return fact
    return None


def kept_all_the_same(task: Task, facts: Facts, checks: Mapping[str, Check]) -> tuple[str, ...]:
    """The questions about the vehicle that are open and for whose sake the task is kept."""
    return tuple(
        checks[fact].ask
        for fact in task.applies_to
        if fact in checks and facts.get(fact) == NOT_SURE and not _all_fit(task, checks[fact])
    )


def _all_fit(task: Task, check: Check) -> bool:
    return task.applies_to[check.id].issuperset(check.answer_ids())
