"""What a case is made of, as plain values; no store and no screen is known here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from diagnose.terms import Role, State

EntryKind = Literal[
    "finding",
    "tried",
    "cured-when",
    "unsure",
    "back",
    "shown",
    "planned",
    "cleared",
    "danger",
    "left-off",
    "resumed",
    "dropped",
]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a case's journal. Lines are only ever added: going back is a line of its own.

    - finding: `subject` is a check or fact; `answer` an answer's id or `not-sure`; a reading adds `value`
      and `uncertainty`. `ahead` says that it was volunteered, not asked.
    - tried: `subject` is a cut set's id; `answer` is `cured`, `not-cured` or `could-not`.
    - cured-when: `answer` is `yes` or `no`; `subject` is the cut set that it was asked after.
    - unsure: *not sure* was said at the danger question `subject`, and help was suggested once.
    - back: `subject` is the number of the line that is taken back, as text.
    - shown: `subject` is the id of a caution that was shown.
    - planned: off its route, the walk came to the step `answer` (a kind) about `subject`; it stays so there.
    - cleared: `answer` tells whether somebody qualified has cleared a stopped vehicle (`yes`, `no`).
    - danger: somebody answered `danger`; `subject` is the referral that it led to.
    - left-off: the walk was put aside; `subject` is the fact for which the tree did not fit, or nothing.
    - resumed: the walk was taken up again.
    - dropped: `subject` is an id that lost its place when the tree changed.
    """

    time: datetime
    kind: EntryKind
    subject: str
    answer: str | None = None
    value: float | None = None
    uncertainty: float | None = None
    ahead: bool = False
    number: int = 0
    """From 1 within the case; the store gives it."""


@dataclass(frozen=True, slots=True)
class CaseRecord:
    """One vehicle's fault as stored, with its journal."""

    case: int
    symptom: str
    tree_digest: str
    role: Role
    state: State
    opened: datetime
    changed: datetime
    vehicle: str = ""
    referral: str = ""
    """To whom a referred or stopped case was handed."""
    points_to: str = ""
    """The cut set whose remedy was followed by a cure."""
    confirmed: bool = False
    cause: str = ""
    """The confirmed cause: a cut set's id or `not-listed`."""
    asked_outcome: bool = False
    """Whether a later start has already asked what it turned out to be."""
    source: str = ""
    """Whose case it is, for one that was brought in; empty for one of this store's own."""
    source_case: str = ""
    """The number that it has there."""
    entries: tuple[Entry, ...] = ()
