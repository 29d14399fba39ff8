"""What a round hands out to be shown: one view at a time, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.terms import Caution, Referral
from diagnose.terms.rounds import Task, TaskEnd
from diagnose.walking.views import Choice


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundView:
    """What every view says."""

    number: int = 0
    """How many tasks of this vehicle are behind."""
    of: int = 0
    """How many tasks there are for this vehicle, as far as is known."""
    notices: tuple[str, ...] = ()
    can_go_back: bool = False
    shipped: bool = True
    """Whether all of the round is the project's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearedAsked(RoundView):
    """Something stopped this vehicle, and it is not known that somebody qualified has cleared it."""

    referral: Referral
    ask: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FactAsked(RoundView):
    """What is true of the vehicle, asked once because a task hangs on it."""

    fact: str
    ask: str
    how: str
    choices: tuple[Choice, ...]
    what: str
    """The task that hangs on it, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskShown(RoundView):
    """One task to look at or to do."""

    task: Task
    place: str
    """Where, in words."""
    there: bool
    """Whether the task before was at the same place."""
    whereabouts: str = ""
    """Where the part is in this vehicle, from its card."""
    cautions: tuple[Caution, ...] = ()
    """Those that were not shown since the round was begun or taken up."""
    read_before: tuple[Caution, ...] = ()
    """Those that were, and hold here too."""
    wants: tuple[str, ...] = ()
    still: float = 0.0
    """Minutes that a wait before it has still to run."""
    overdue: tuple[str, ...] = ()
    """What the card's dates say is due: it is wrong by that alone."""
    reasons: tuple[str, ...] = ()
    """What the fleet's own cases, and the trees, say for it."""
    before: TaskEnd | None = None
    """How it was marked earlier."""
    by_owner: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class AllSeen(RoundView):
    """No task is left to be shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundStopped(RoundView):
    """Danger: no way on in this round until somebody qualified has cleared the vehicle."""

    referrals: tuple[Referral, ...]
    first: str
    """What to do this moment, and the number to call."""
    because: str = ""


View = ClearedAsked | FactAsked | TaskShown | AllSeen | RoundStopped
