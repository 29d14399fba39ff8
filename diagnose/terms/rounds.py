"""A round as it was read and checked: its tasks, what must come before what, and what they are about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from diagnose.terms.errors import Mark
from diagnose.terms.words import Hands, Role

RoundId = Literal["wake-up", "journey", "hand-over", "lay-up"]
ROUNDS: tuple[RoundId, ...] = ("wake-up", "journey", "hand-over", "lay-up")

TaskEnd = Literal["fine", "wrong", "not-done", "not-fitted"]
TASK_ENDS: tuple[TaskEnd, ...] = ("fine", "wrong", "not-done", "not-fitted")

GATHERED = "prevent-"
"""How the ids of tasks begin that were made from what a tree says prevents a fault."""

Verdict = Literal["ready", "limited", "not-ready"]
"""Never *safe*: nothing here certifies anything."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to look at or do on a round."""

    id: str
    what: str
    how: str
    at: str
    """The id of a place; getting there costs its access minutes each time one comes from another place."""
    hands: Hands
    by: Role
    minutes: float
    wait: float = 0.0
    """Minutes in which nobody need be there; what comes after this task waits for them."""
    price: float = 0.0
    hazards: frozenset[str] = frozenset()
    wants: tuple[str, ...] = ()
    """Ids of what it wants of day, weather or vehicle (daylight, dry, no-frost, level ...)."""
    applies_to: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Fact -> answers; of another vehicle the task is no part of the round."""
    opens: tuple[str, ...] = ()
    """Trees that a *wrong* may open, the likeliest first."""
    refer: str | None = None
    """Whom a *wrong* is referred to where no tree opens."""
    dates: tuple[str, ...] = ()
    """Dates of the card that have to hold for it: one that is due makes it *wrong*."""
    safety: bool = False
    """Whether it belongs to even the shortest round."""
    if_wrong: Verdict = "limited"
    """What the vehicle is while this is wrong or was not looked at: limited or not ready."""
    must_not_use: str = ""
    """What must not be used then, in words."""
    part: str | None = None
    needs: tuple[str, ...] = ()
    parts_to_buy: tuple[str, ...] = ()
    """What is bought where it is wrong."""
    was: tuple[str, ...] = ()
    mark: Mark | None = None
    prevents: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Tree -> its causes that this keeps away."""
    gathered: bool = False
    """Whether it was made from what a tree says prevents a fault: no vehicle is less ready without it."""


@dataclass(frozen=True, slots=True)
class Round:
    """The tasks of one round in file order; `after` has no cycle and names none but these tasks."""

    id: RoundId
    file: str
    digest: str
    says: str
    tasks: Mapping[str, Task]
    after: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Task -> tasks that must have come before it."""
    wants: Mapping[str, str] = field(default_factory=dict)
    """What the tasks want of day, weather and vehicle: id -> words."""
    shipped: bool = True
    """Whether all of it is the project's own; False where a folder of one's own changed it."""


@dataclass(frozen=True, slots=True)
class TaskMark:
    """How one task of a round ended, by whom and when."""

    task: str
    end: TaskEnd
    time: datetime
    by: str = ""
    """A label that the person chose; nobody need give one."""
    note: str = ""
    case: int | None = None
    """The case that a *wrong* opened."""
    of_date: bool = False
    """Whether it is *wrong* only because a date of the card was over: nothing else was."""
