"""What replaying past cases over two trees comes to."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.revising.paired import Paired


@dataclass(frozen=True, slots=True)
class Worse:
    """A case that got worse: the numbers of both trees."""

    case: int
    cause: str
    """As it was confirmed."""
    old_loss: float
    new_loss: float
    old_rank: int
    new_rank: int
    old_minutes: float
    new_minutes: float


@dataclass(frozen=True, slots=True)
class OneSide:
    """What had to be said of one of the trees."""

    not_asked: tuple[tuple[str, int], ...]
    """Checks that it does not ask for, with in how many cases they were answered; the most first."""
    cases_not_asked: int
    """Cases with at least one such answer."""
    unlisted: tuple[tuple[str, int], ...]
    """Confirmed causes that it does not know, with their cases: they count as `not-listed`."""
    weighed: int
    """Cases in which an answer that its route wants is not known, and was weighed."""


@dataclass(frozen=True, slots=True)
class Replay:
    """What replaying came to; the three comparisons are None where there is no case."""

    old: OneSide
    new: OneSide
    cases: int
    different: int
    """How many of them differ in findings, cause or ending: the others were worked out with these."""
    loss: Paired | None
    rank: Paired | None
    minutes: Paired | None
    worse: tuple[Worse, ...]
    """Every case whose log loss or minutes got clearly worse, the most first."""
    left_out: tuple[tuple[str, int], ...]
    """Confirmed causes that neither tree has, with their cases."""
    not_listed: int
    """Cases that were confirmed as `not-listed`."""
    new_causes: tuple[str, ...]
    """Causes that only the new tree has."""
    merged: int
    """Cases from other workshops that are learned from, but whose findings are not here."""
