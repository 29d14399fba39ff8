"""What one vehicle of a fleet needs besides its tasks: walks, somebody who is called, parts.

Minutes of a visit are judgement: nobody can know beforehand what somebody qualified will find.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.cases.records import CaseRecord
from diagnose.knowledge.card_fields import DATES
from diagnose.rounds.fleet_walks import WalkAhead, Walks
from diagnose.terms.rounds import Task, TaskMark

GAS, MAINS = "gas-engineer", "electrician"
COMES: Mapping[str, str] = {"gas-escape": GAS, "co-suspected": GAS, "mains-danger": MAINS}
"""Who looks at the vehicle after an emergency number was called."""
CHECKED_BY: Mapping[str, str] = {"gas-check": GAS, "mains-check": MAINS}
"""Dates of a qualified person's check, without which gas or mains stay unchecked."""
DONE_BY: Mapping[str, str] = {
    **CHECKED_BY,
    "gas-hose": GAS,
    "gas-regulator": GAS,
    "habitation-check": "workshop",
    "tyres": "workshop",
    "spare-tyre": "workshop",
}
"""Dates whose work is somebody else's (common practice, no source); the rest is done or bought by oneself."""
MINUTES_THERE: Mapping[str, float] = {
    "gas-check": 60.0,
    "gas-hose": 20.0,
    "gas-regulator": 20.0,
    "mains-check": 60.0,
    "habitation-check": 120.0,
    "tyres": 60.0,
    "spare-tyre": 20.0,
}
"""Minutes at the vehicle for a date's work (judgement)."""
OVER, NO_DATE, WRONG, HANDED, DANGER = (
    "date over",
    "no date on the card",
    "wrong",
    "handed over",
    "not cleared",
)
OTHERWISE = "workshop"
"""Who comes where nobody is named."""
A_FAULT = 60.0
"""Minutes at the vehicle for a fault that is handed over (judgement)."""


@dataclass(frozen=True, slots=True)
class OpenWalk:
    """A walk that is not over, or one that something wrong asks for."""

    tree: str
    says: str
    """The symptom in words."""
    task: str | None
    """The task that opened it; None for one that was begun apart from the round."""
    case: int | None
    """None where it was not begun."""
    ahead: WalkAhead | None
    """What is expected of it; None where its tree is not at hand."""


@dataclass(frozen=True, slots=True)
class Errand:
    """One thing that somebody who is called does at one vehicle."""

    referral: str
    of: str
    """The date, task or symptom that it comes from."""
    says: str
    """What it is about, in words."""
    why: str
    """Why somebody has to come: one of the words below."""
    minutes: float
    """Minutes there (judgement)."""
    case: int | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Something to buy; `sure` where a date says that it is needed, else something is wrong there."""

    says: str
    task: str
    sure: bool


def date_errands(over: Sequence[str], unchecked: Sequence[str]) -> tuple[Errand, ...]:
    """What dates that are over ask of others, and the checks of which no date is known."""
    found = [Errand(DONE_BY[of], of, DATES[of].says, OVER, MINUTES_THERE[of]) for of in DONE_BY if of in over]
    found += [
        Errand(CHECKED_BY[of], of, DATES[of].says, NO_DATE, MINUTES_THERE[of])
        for of in CHECKED_BY
        if of in unchecked and of not in over
    ]
    return tuple(found)


def to_clear(stopped: str | None, errands: Sequence[Errand]) -> tuple[Errand, ...]:
    """Whoever has to clear a vehicle that danger stopped, unless a case of it waits for them already."""
    if stopped is None or any(comes(errand.referral) == comes(stopped) for errand in errands):
        return ()
    return (Errand(stopped, "danger", "danger was told", DANGER, A_FAULT),)


def comes(referral: str) -> str:
    """Who looks at the vehicle where somebody is called."""
    return COMES.get(referral, referral)


def parts_of(task: Task, mark: TaskMark | None, over: Sequence[str]) -> tuple[Part, ...]:
    """What a task asks to be bought.

    Where a date of its own is over, that is what the date is of; where it is wrong for another reason, each
    of its parts may be it.
    """
    end = mark.end if mark is not None else "not-done"
    if end == "not-fitted":
        return ()
    due = [DATES[of].says for of in task.dates if of in over]
    sure = [part for part in task.parts_to_buy if any(part.startswith(says) for says in due)]
    if sure:
        return tuple(Part(part, task.id, True) for part in sure)
    return tuple(Part(part, task.id, False) for part in task.parts_to_buy) if end == "wrong" else ()


def of_wrong(
    task: Task, mark: TaskMark, cases: Mapping[int, CaseRecord], walks: Walks
) -> OpenWalk | Errand | None:
    """What a task that is wrong waits for; None where its case has ended.

    A walk that is not over, or that it may open and nobody has begun; else whoever it is referred to.
    """
    record = cases.get(mark.case) if mark.case is not None else None
    if record is not None:
        return of_case(record, walks, task.id)
    if task.opens and mark.case is None:
        tree = task.opens[0]
        return OpenWalk(tree, walks.title(tree), task.id, None, walks.from_start(tree))
    return Errand(task.refer or OTHERWISE, task.id, task.what, WRONG, A_FAULT, mark.case)


def of_case(record: CaseRecord, walks: Walks, task: str | None = None) -> OpenWalk | Errand | None:
    """What a case waits for: its walk, or whoever it was handed to; None where it is cured or confirmed."""
    if record.state in ("open", "left-off") and not record.confirmed:
        title = walks.title(record.symptom)
        return OpenWalk(record.symptom, title, task, record.case, walks.from_case(record))
    if record.state in ("referred", "stopped") and not record.confirmed:
        says = walks.title(record.symptom)
        return Errand(record.referral or OTHERWISE, record.symptom, says, HANDED, A_FAULT, record.case)
    return None


def looked_at_again(mark: TaskMark | None, cases: Mapping[int, CaseRecord]) -> bool:
    """Whether something was wrong and is said to be put right since: then it is looked at once more."""
    record = cases.get(mark.case) if mark is not None and mark.case is not None else None
    if mark is None or mark.end != "wrong" or record is None:
        return False
    return settled(record)


def settled(case: CaseRecord) -> bool:
    """Whether a case came to a good end: cured, or handed over and confirmed since."""
    return case.state == "cured" or (case.state == "referred" and case.confirmed)
