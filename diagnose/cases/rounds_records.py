"""What a kept round is made of, as plain values; no store and no screen is known here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from diagnose.terms.rounds import RoundId

Stage = Literal["open", "left-off", "ended", "stopped"]
"""How a round stands; a stopped one goes on only after somebody qualified has cleared the vehicle."""

Noted = Literal["mark", "fact", "back", "danger", "cleared"]


@dataclass(frozen=True, slots=True)
class RoundLine:
    """One line of a round. Lines are only ever added, so the same task marked twice stands there twice.

    - mark: `subject` is a task's id, `answer` its end (`TaskEnd`); `case` is the case that a *wrong* opened.
    - fact: `subject` is a fact that was asked on the round, `answer` an answer's id or `not-sure`.
    - back: `subject` is the number of the line that is taken back, as text.
    - danger: somebody told of danger; `subject` is the task that was shown, `answer` the firmest referral.
    - cleared: `answer` tells whether somebody qualified has cleared the vehicle since (`yes`, `no`).
    """

    time: datetime
    noted: Noted
    subject: str
    answer: str | None = None
    who: str = ""
    """A label that the person chose; nobody need give one."""
    note: str = ""
    case: int | None = None
    number: int = 0
    """From 1 within the round; the store gives it."""


@dataclass(frozen=True, slots=True)
class RoundRecord:
    """One round of one vehicle as stored, with its lines."""

    number: int
    round: RoundId
    digest: str
    """That of the round's files as it was begun."""
    stage: Stage
    begun: datetime
    changed: datetime
    vehicle: str = ""
    who: str = ""
    """The label of whoever began it."""
    lines: tuple[RoundLine, ...] = ()


@dataclass(frozen=True, slots=True)
class RoundHead:
    """One round as stored, without its lines."""

    number: int
    round: RoundId
    stage: Stage
    vehicle: str
    changed: datetime


def standing_lines(lines: tuple[RoundLine, ...]) -> tuple[RoundLine, ...]:
    """The lines that were not taken back, in their order; the `back` lines themselves are left out."""
    taken: set[str] = set()
    kept = []
    for line in reversed(lines):
        if str(line.number) in taken:
            continue
        if line.noted == "back":
            taken.add(line.subject)
        else:
            kept.append(line)
    return tuple(reversed(kept))
