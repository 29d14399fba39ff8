"""One walk as a state machine with no screen in it.

Where a walk stands is a function of its tree, what reasons about it, its route and the lines of its journal;
so taking it up again is reading the journal again, and nothing is ever known that was not written down first.
Store, clock and reasoning come in as arguments.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from diagnose.cases.records import CaseRecord, Entry
from diagnose.terms import DiagnoseError, Finding, Ranked, Role, Situation, State, Step, Tree
from diagnose.walking.views import View


class NotNow(DiagnoseError):
    """What was asked of the walk is not possible where it stands; the text says what is."""


class Journal(Protocol):
    """Where a walk writes what happens. `CaseJournal` (walking/journal.py) keeps it in a case store."""

    def append(self, entry: Entry) -> Entry:
        """Add a line; it is durable when this returns. Returns it with its number."""
        ...

    def settle(self, state: State, referral: str = "", points_to: str = "") -> None:
        """Note how the case stands: `open` again, or ended, with whom it went to or what the cure points to."""
        ...


class Whys(Protocol):
    """What `reasoning.why.why` returns."""

    @property
    def saves(self) -> float: ...
    @property
    def separates(self) -> tuple[str, ...]: ...
    @property
    def leads_to(self) -> Mapping[str, Step]: ...


class Reasoner(Protocol):
    """What a walk asks of the arithmetic. `RoomReasoner` (walking/reasoner.py) asks the reasoning room."""

    def ranking(self, situation: Situation) -> tuple[Ranked, ...]: ...
    def next_step(self, situation: Situation, started: int = 0, restored: bool = False) -> Step:
        """The step to take: with `started` starts and a restoring of the mains used up beyond `situation`."""
        ...

    def why(self, situation: Situation, step: Step) -> Whys: ...


@dataclass(frozen=True, slots=True)
class Setting:
    """What a walk knows about where it takes place."""

    role: Role = "owner"
    case: int | None = None
    numbers: tuple[str, ...] = ("112",)
    register: str = ""
    """The statutory register of gas fitters in this country."""
    whereabouts: Mapping[str, str] = field(default_factory=dict)
    """Part -> where it is, from the vehicle's card."""
    stopped_by: str | None = None
    """The referral by which this vehicle's last walk was stopped, while nobody has said that it was cleared."""
    started_before: int = 0
    """Starts used up within the last day by earlier walks of this symptom (see `starts_within_a_day`)."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why this question, as figures and words: the screen makes two sentences of it."""

    saves: float
    separates: tuple[str, ...]
    """The causes, in words, that the answers tell apart; the likeliest first."""
    leads_to: Mapping[str, Step]
    sure: Ranked | None
    """The leading hypothesis so far."""


class Walk:
    """One walk. Every operation writes to the journal first and then returns the next view."""

    def __init__(
        self,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Callable[[], datetime],
        *,
        route: object | None = None,
        setting: Setting = Setting(),
        entries: Sequence[Entry] = (),
    ) -> None: ...

    @classmethod
    def begin(
        cls,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Callable[[], datetime],
        *,
        route: object | None = None,
        setting: Setting = Setting(),
        facts: Sequence[Finding] = (),
        findings: Sequence[Finding] = (),
        tried: Mapping[str, str] | None = None,
    ) -> Walk:
        """A new walk: `facts` are of the vehicle's card, `findings` and `tried` were obtained ahead."""
        raise NotImplementedError

    @classmethod
    def resume(
        cls,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Callable[[], datetime],
        record: CaseRecord,
        *,
        route: object | None = None,
        setting: Setting = Setting(),
    ) -> Walk:
        """Takes up a case again; a stopped one raises `NotNow`. A changed tree is said in `view().notices`."""
        raise NotImplementedError

    def view(self) -> View:
        """Where the walk stands."""
        raise NotImplementedError

    @property
    def state(self) -> State: ...
    @property
    def situation(self) -> Situation: ...

    def answer(self, answer: str) -> View:
        """The id of one of the view's `choices` (also those of a remedy, the cured and the cleared question)."""
        raise NotImplementedError

    def reading(self, value: float, uncertainty: float | None = None) -> View:
        """A measured value in the check's unit; raises `NotNow` naming the range if it lies outside."""
        raise NotImplementedError

    def not_sure(self) -> View: ...
    def could_not(self) -> View: ...
    def works_now(self) -> View: ...
    def no_better(self) -> View: ...
    def cured_when(self, yes: bool) -> View: ...
    def cleared(self, yes: bool) -> View: ...
    def danger(self) -> View: ...
    def leave_off(self) -> View: ...

    def back(self, n: int = 1) -> View:
        """Takes back the last `n` answers; raises `NotNow` in a stop, or where there is nothing to take back."""
        raise NotImplementedError

    def why(self) -> Reason:
        """Why this step; raises `NotNow` where nothing was reckoned (danger questions, ends)."""
        raise NotImplementedError

    def volunteer(self, check: str, answer: str | float, uncertainty: float | None = None) -> View:
        """A finding given ahead; a stop answer stops at once. Raises `NotNow` for what the tree does not know."""
        raise NotImplementedError
