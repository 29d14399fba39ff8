"""Which prevention would have saved the most work, had it been done.

    minutes saved = sum over the causes that a text prevents of  confirmed cases x minutes to put one right

The minutes are the tree's own for putting a cause right: the work of its remedy, or of the referral that
serves it. Finding the cause comes on top, and so do cases whose outcome nobody told; waiting, money and the
way there are left out. The interval is that of the number of cases: a weighted sum of Poisson counts
(Dobson, Kuulasmaa, Eberle & Scherer 1991, from memory), which for one cause is Garwood's exact one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.knowledge.naming import says_of
from diagnose.reasoning.inference import Interval, count
from diagnose.reasoning.model import HAND_OVER_MINUTES
from diagnose.terms import Event, Tree


@dataclass(frozen=True, slots=True)
class Prevented:
    """One cause that a text would prevent."""

    symptom: str
    cause: str
    says: str
    cases: int
    minutes: float
    """To put one right."""


@dataclass(frozen=True, slots=True)
class Prevention:
    """One text of prevention, and what it is against; the same text may stand in several trees."""

    text: str
    causes: tuple[Prevented, ...]
    cases: int
    minutes: Interval
    """Of work that it would have saved, all cases together."""


def preventions(cases: Mapping[tuple[str, str], int], trees: Mapping[str, Tree]) -> tuple[Prevention, ...]:
    """By confirmed cases of each (symptom, cause); what saves most comes first."""
    by_text: dict[str, list[Prevented]] = defaultdict(list)
    for (symptom, cause), number in cases.items():
        tree = trees.get(symptom)
        events = [tree.events.get(id) for id in cause.split("+")] if tree is not None else [None]
        known = [event for event in events if event is not None]
        if tree is None or len(known) < len(events):
            continue
        minutes = minutes_to_put_right(tree, known)
        # What only together makes a symptom is prevented by keeping any one part of it away.
        for text in dict.fromkeys(" ".join(event.prevent.split()) for event in known if event.prevent):
            by_text[text].append(Prevented(symptom, cause, says_of(tree, cause), number, minutes))
    found = [
        Prevention(text, tuple(against), sum(each.cases for each in against), _saved(against))
        for text, against in by_text.items()
    ]
    return tuple(sorted(found, key=lambda each: (-each.minutes.value, each.text)))


def minutes_to_put_right(tree: Tree, causes: list[Event]) -> float:
    """The work of all their remedies; where one of them is a referral, the referral's alone."""
    remedies = [event.remedy for event in causes if event.remedy is not None]
    referred = [tree.referrals[each.text].minutes for each in remedies if each.kind == "refer"]
    if referred:
        return max(referred)
    return sum(each.minutes if each.kind == "do" else HAND_OVER_MINUTES for each in remedies)


def _saved(against: list[Prevented]) -> Interval:
    """The sum with its interval: that of the whole count, stretched by how unlike the minutes are."""
    cases = count(sum(each.cases for each in against))
    total = sum(each.cases * each.minutes for each in against)
    variance = sum(each.cases * each.minutes**2 for each in against)
    stretch = sqrt(variance / cases.value) if cases.value else 0.0
    ends = (total + stretch * (end - cases.value) for end in (cases.low, cases.high))
    return Interval(total, *(max(0.0, end) for end in ends))
