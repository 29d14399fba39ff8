"""What a round has come to: ready, limited, or not ready. It is never more than that, and certifies nothing.

The verdict is the worst of what was found: tasks that are wrong or were not looked at, dates of the card that
are over, and gas and mains, which stay unchecked until the day of a qualified person's check is on the card.
More that is wrong or left undone never makes it better. All of it is common practice, with no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.rounds.again import is_renewed, too_long_ago
from diagnose.rounds.due import DueDate, due_dates
from diagnose.rounds.presence import GRAVE, is_never_missing, is_there
from diagnose.terms.rounds import GATHERED, Round, RoundId, Task, TaskEnd, TaskMark, Verdict

Why = Literal[
    "danger",
    "wrong",
    "case-open",
    "case-closed",
    "renewed",
    "not-done",
    "long-ago",
    "no-alarm",
    "over",
    "unchecked",
    "gone",
]
"""Why something counts against the vehicle:

- danger: danger was told, and nobody qualified has cleared the vehicle
- wrong: it was found wrong
- case-open: it was wrong and then called fine, and the case that it opened has not come to a good end
- case-closed: it was wrong, its case has come to a good end, and nobody has looked at it again
- renewed: it was wrong for its date alone, the card has a new one, and nobody has looked at it again
- not-done: nobody looked at it to an end
- long-ago: it was looked at so long ago that nobody can go by it
- no-alarm: an alarm is not there
- over: a date of the card holds no more
- unchecked: no qualified person's check of gas or mains is on the card, or it is over
- gone: it was wrong, and the round has the task no more
"""

BADNESS: Mapping[Verdict, int] = {"ready": 0, "limited": 1, "not-ready": 2}

ALARMS = frozenset({"alarm", "gas-alarm"})
CHECKS: Mapping[str, str] = {"gas-check": "gas", "mains-check": "mains"}
"""Dates of a qualified person's checks, and what each of them checks."""

NOTHING_BURNS = "Anything that burns gas"
NOT_ON_THE_ROAD = "The vehicle on the road"
OFF_THE_ROAD = NOT_ON_THE_ROAD.casefold()
"""What a text holds that keeps the vehicle off the road."""

OVER_ANYWHERE: Mapping[str, tuple[Verdict, str]] = {
    "gas-hose": ("limited", NOTHING_BURNS),
    "gas-regulator": ("limited", NOTHING_BURNS),
    "tyres": ("not-ready", NOT_ON_THE_ROAD),
    "spare-tyre": ("limited", "The spare tyre"),
    "alarm": ("not-ready", "Anything that burns; and nobody sleeps inside"),
    "gas-alarm": ("limited", NOTHING_BURNS),
    "extinguisher": ("limited", "The old extinguisher"),
    "road-test": ("limited", NOT_ON_THE_ROAD),
}
"""What a date that is over means on every round, with a task about it or without, and what stays unused."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that counts against the vehicle."""

    about: str
    """A task's id, a key of the card's dates, `gas`, `mains` or `danger`."""
    why: Why
    counts: Verdict
    what: str = ""
    """The task in words, or what the date is of."""
    must_not_use: str = ""
    note: str = ""
    """What the person wrote beside the mark."""
    case: int | None = None
    due: DueDate | None = None
    """The date, where it is about one."""

    @property
    def driver(self) -> bool:
        """Whether it is about the driver's own papers: they are nobody else's business."""
        return self.due is not None and self.due.kind.driver


@dataclass(frozen=True, slots=True)
class Judged:
    """The verdict on one round of one vehicle, with everything that it rests on."""

    round: Round
    verdict: Verdict
    reasons: tuple[Reason, ...]
    """The worst first, otherwise in the order of the round."""
    due: tuple[DueDate, ...]
    """The card's dates, without those of the driver's own papers."""
    today: date

    @property
    def must_not_use(self) -> tuple[str, ...]:
        """What must not be used, each once."""
        return tuple(dict.fromkeys(each.must_not_use for each in self.reasons if each.must_not_use))

    @property
    def unchecked(self) -> tuple[str, ...]:
        """Which of gas and mains no qualified person has checked lately enough."""
        return tuple(each.about for each in self.reasons if each.why == "unchecked")

    @property
    def not_done(self) -> tuple[str, ...]:
        """Tasks that nobody looked at to an end, in the order of the round."""
        undone = {each.about for each in self.reasons if each.why == "not-done"}
        return tuple(task for task in self.round.tasks if task in undone)


def judged(
    round: Round,
    marks: Iterable[TaskMark],
    card: VehicleCard | None,
    today: date,
    *,
    facts: Mapping[str, str] | None = None,
    settled: Collection[int] = (),
    stopped: bool = False,
) -> Judged:
    """The verdict by all marks that stand, oldest first: what was wrong before counts too.

    `facts` are answers told on the round; the card's win. `settled` are cases that came to a good end, cured
    or confirmed as put right; of any other case it is not known, so it is taken as open. `stopped` says that
    danger was told and nobody qualified has cleared the vehicle.
    """
    known = dict(facts or {}) | {
        fact.check: fact.answer for fact in (card.facts if card is not None else ()) if fact.answer
    }
    dues = due_dates(card, today)
    by_task = _by_task(round, marks)
    reasons = [Reason("danger", "danger", "not-ready", must_not_use="The vehicle")] if stopped else []
    over = frozenset(due.of for due in dues if due.over)
    holding = frozenset(due.of for due in dues if due.written is not None and not due.over)
    for id, task in round.tasks.items():
        marked = by_task.pop(id, [])
        if marked and is_renewed(task, marked[-1], over, holding):
            reasons.append(_against(task, round.id, "renewed"))
        else:
            there = is_there(task, known)
            found = _of_task(task, round.id, marked, settled, there=there)
            if not found and there and _is_old(task, marked, round.id, today):
                found = [_against(task, round.id, "long-ago")]
            reasons += found
    reasons += [
        Reason(id, "gone", "limited" if id.startswith(GATHERED) else "not-ready", id)
        for id, gone in by_task.items()
        if gone[-1].end == "wrong"
    ]
    hired = round.id == "hand-over" or known.get("use") == "hired"
    for due in dues:
        if due.of in CHECKS:
            reasons += _of_check(due, hired=hired)
        elif due.over:
            reasons += _of_date(due, round)
    reasons.sort(key=lambda reason: -BADNESS[reason.counts])
    verdict = reasons[0].counts if reasons else "ready"
    return Judged(round, verdict, tuple(reasons), tuple(due for due in dues if not due.kind.driver), today)


def weight(task: Task, round: RoundId) -> Verdict:
    """What the vehicle is while a task is wrong or was not looked at.

    Before a journey whatever keeps it off the road leaves it not ready.
    """
    if task.gathered:
        return "limited"
    if GRAVE & set(task.opens):
        return "not-ready"
    return worse(worse(task.if_wrong, "limited"), by_what_is_unused(task.must_not_use, round))


def by_what_is_unused(text: str, round: RoundId) -> Verdict:
    """What the vehicle is at least while something must not be used."""
    off = round == "journey" and OFF_THE_ROAD in text.casefold()
    return "not-ready" if off else "ready"


def worse(one: Verdict, other: Verdict) -> Verdict:
    """The worse of two verdicts."""
    return max(one, other, key=BADNESS.__getitem__)


def _by_task(round: Round, marks: Iterable[TaskMark]) -> dict[str, list[TaskMark]]:
    """The marks of each task in their order; a task that was renamed is found by its old id."""
    renamed = {old: task.id for task in round.tasks.values() for old in task.was}
    found: dict[str, list[TaskMark]] = {}
    for mark in marks:
        found.setdefault(renamed.get(mark.task, mark.task), []).append(mark)
    return found


def _of_task(
    task: Task, round: RoundId, marks: list[TaskMark], settled: Collection[int], *, there: bool
) -> list[Reason]:
    """What a task's marks come to. One that is not meant for this vehicle counts only if it was wrong."""
    last = marks[-1] if marks else None
    end: TaskEnd = last.end if last is not None else "not-done"
    note = last.note if last is not None else ""
    cases = [mark.case for mark in marks if mark.end == "wrong" and mark.case is not None]
    still_open = next((case for case in reversed(cases) if case not in settled), None)
    last_case = last.case if last is not None else None
    if end == "wrong":
        closed = last_case is not None and still_open is None
        return [_against(task, round, "case-closed" if closed else "wrong", note, last_case)]
    if still_open is not None:
        return [_against(task, round, "case-open", note, still_open)]
    if not there or end == "fine" or task.gathered:
        return []
    if end == "not-done" or (end == "not-fitted" and is_never_missing(task)):
        return [_against(task, round, "not-done", note)]
    if ALARMS & set(task.dates):
        return [Reason(task.id, "no-alarm", "limited", task.what, task.must_not_use, note)]
    return []


def _is_old(task: Task, marks: list[TaskMark], round: RoundId, today: date) -> bool:
    return bool(marks) and not task.gathered and too_long_ago(marks[-1], round, today)


def _against(task: Task, round: RoundId, why: Why, note: str = "", case: int | None = None) -> Reason:
    return Reason(task.id, why, weight(task, round), task.what, task.must_not_use, note, case)


def _of_check(due: DueDate, *, hired: bool) -> list[Reason]:
    """Gas or mains, unless a qualified person's check is on the card and holds."""
    if due.written is not None and not due.over:
        return []
    about = CHECKS[due.of]
    unused = f"{about.capitalize()}, until somebody qualified has checked it" if hired else ""
    return [Reason(about, "unchecked", "limited", due.kind.says, unused, due=due)]


def _of_date(due: DueDate, round: Round) -> list[Reason]:
    """What a date means that is over: by every round, and by the tasks of this one that hang on it."""
    tasks = [task for task in round.tasks.values() if due.of in task.dates]
    everywhere = OVER_ANYWHERE.get(due.of)
    if not tasks and everywhere is None:
        return []
    counts, unused = everywhere or ("limited", tasks[0].must_not_use)
    counts = worse(counts, by_what_is_unused(unused, round.id))
    for task in tasks:
        counts = worse(counts, weight(task, round.id))
    return [Reason(due.of, "over", counts, DATES[due.of].says, unused, due=due)]
