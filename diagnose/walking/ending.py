"""What every ending says: what prevents it, what was left alone and why, what the steps were reckoned at."""

from __future__ import annotations

from collections.abc import Sequence, Set

from diagnose.terms import COULD_NOT, NOT_CURED, Check, Event, Ranked, Remedy, Role
from diagnose.walking.past import Past, causes_of, check_of
from diagnose.walking.views import Effort, LeftAlone, Prevention

WORTH_PREVENTING = 0.05
"""The least share of a cause whose prevention is told at an ending without a cure."""
MOST_PREVENTIONS = 3


def prevention(past: Past, ranking: Sequence[Ranked], cured: str | None = None) -> tuple[Prevention, ...]:
    """What keeps the cause away: of what was put right, else of the likeliest few."""
    if cured is not None:
        causes = list(causes_of(past.tree, cured))
    else:
        likely = [each.cause for each in ranking if each.share >= WORTH_PREVENTING]
        causes = [cause for cut_set in likely for cause in causes_of(past.tree, cut_set)]
    told = [Prevention(cause.says, cause.prevent) for cause in causes if cause.prevent]
    return tuple(dict.fromkeys(told))[:MOST_PREVENTIONS]


def left_alone(
    past: Past, ranking: Sequence[Ranked], role: Role, cannot: Set[str] = frozenset()
) -> tuple[LeftAlone, ...]:
    """The causes that nobody here touched, likeliest first, and why; what was tried in vain is not here.

    `cannot` holds what this person cannot do, in the words of `needs`.
    """
    order = [each.cause for each in ranking] or ["+".join(causes) for causes in past.tree.cut_sets]
    found: list[LeftAlone] = []
    for cut_set in order:
        if past.tried.get(cut_set) == NOT_CURED:
            continue
        could_not = past.tried.get(cut_set) == COULD_NOT
        for cause in causes_of(past.tree, cut_set):
            why = "could not be done here" if could_not else _why_alone(past, cause, role, cannot)
            found += [LeftAlone(cause.says, why)] if why else []
    return tuple(dict.fromkeys(found))


def done_so_far(past: Past) -> Effort:
    """What the steps of this walk were reckoned at; what was known ahead cost nothing here."""
    minutes = wait = price = 0.0
    been: set[str] = set()
    for line in past.live:
        steps: list[Check | Remedy] = []
        if line.kind == "finding" and not line.ahead and (check := check_of(past.tree, line.subject)):
            steps = [] if check.fact else [check]
        elif line.kind == "tried" and line.answer != COULD_NOT and not line.ahead:
            steps = [cause.remedy for cause in causes_of(past.tree, line.subject) if cause.remedy]
        elif line.kind == "cured-when":
            minutes += past.tree.cured_when.minutes
        for step in steps:
            minutes, wait, price = minutes + step.minutes, wait + step.wait, price + step.price
            if step.at is not None and step.at not in been and step.at in past.tree.places:
                been.add(step.at)
                minutes += past.tree.places[step.at].access
    return Effort(minutes, wait, price)


def _why_alone(past: Past, cause: Event, role: Role, cannot: Set[str]) -> str:
    remedy = cause.remedy
    if remedy is None:
        return ""
    if remedy.kind == "refer":
        referral = past.tree.referrals.get(remedy.text)
        return f"left for: {referral.to}" if referral is not None else "left for somebody qualified"
    if remedy.kind == "see":
        return "another tree knows this better"
    if role == "owner" and remedy.by == "technician":
        return "a technician's work"
    lacking = [need for need in remedy.needs if need in cannot]
    return f"needs somebody who can {' and '.join(lacking)}" if lacking else ""
