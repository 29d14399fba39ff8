"""What the trees say prevents a fault and no task of a lay-up does: tasks of its own, and what to have done.

A prevention says in its own words when it is done: one that names the lay-up, the winter, the autumn or the
time before the frost is done now. It becomes a task for an owner only where nobody can be hurt by it beyond
what soap, gloves and cold water help against (`MILD`); nothing under gas, mains, fuel, refrigerant, high
current, road or height does, nor what a technician puts right. One that tells to *have* something serviced,
tested or renewed is for whoever is qualified: it is gathered to be booked. The rest is told on request.

A task is known by the tree and cause that it is against, the first in the alphabet where its text stands in
several: so a round that was kept finds it again, whatever the cases have made of the ranking meanwhile.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Literal

from diagnose.rounds.presence import is_there
from diagnose.rounds.stakes import Stake
from diagnose.rounds.worth import PRIOR_YEARS, SHAPE, fits, parts_shown
from diagnose.terms import Event, Tree
from diagnose.terms.rounds import GATHERED, Round, Task

Kind = Literal["task", "book", "other"]

MILD = frozenset({"infection", "hot", "chemical"})
"""Hazards that a task for an owner may have."""
MOST = 4
"""Tasks that a lay-up gets of its own, no more (judgement): who has to do forty does none."""
LEAST = 0.4
"""Minutes a year that such a task has to be expected to save (judgement)."""
KEEPS_AWAY = 0.5
"""The part of its cases that a prevention keeps away (judgement)."""
MINUTES = 10.0
"""How long each takes (judgement): the trees do not say."""
PLACES: Mapping[str, str] = {
    "water": "water-bay",
    "hot-water": "water-bay",
    "refrigeration": "kitchen",
    "toilet": "washroom",
    "body": "outside",
    "engine": "cab",
    "engine-electrics": "cab",
}
"""System -> where its preventions are done; anywhere else inside."""
DRIVEN = ("engine", "engine-electrics")
"""Systems that a caravan does not have, whatever their trees say of vehicles."""
WITH_AN_ENGINE = {"build": frozenset({"motorhome", "campervan"})}
INSIDE = "kitchen"
BOOKED_WITH = ("gas-engineer", "electrician", "auto-electrician", "workshop")
_NOW = re.compile(r"\b(lay-up|laid up|winter|autumn|before (the|a) (first )?frost)\b", re.IGNORECASE)
_HAVE = re.compile(
    r"\bhave\b[^.;]*\b(serviced|tested|renewed|measured|cleaned|changed|stripped|greased|descaled|tried|read|"
    r"seen to|sealed|fitted|replaced|washed|looked (over|at|after))\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Prevention:
    """One text of the trees, and what it is against."""

    id: str
    text: str
    kind: Kind
    against: tuple[tuple[str, str], ...]
    """(tree, cause) in alphabetical order."""
    says: tuple[str, ...]
    """The causes in words, each with its symptom."""
    applies_to: Mapping[str, frozenset[str]]
    hazards: frozenset[str]
    at: str
    refer: str
    """Whom it is booked with."""


@dataclass(frozen=True, slots=True)
class Valued:
    """A prevention on one vehicle."""

    prevention: Prevention
    saved: float
    """Minutes a year that it is expected to save."""


def preventions(
    trees: Mapping[str, Tree], covered: Iterable[Task], places: Collection[str]
) -> tuple[Prevention, ...]:
    """What the trees say and no task of `covered` keeps away, in the order of their ids.

    The same text in trees for the same vehicles is one; `places` are the ids that a task may stand at.
    """
    done = {(tree, cause) for task in covered for tree, causes in task.prevents.items() for cause in causes}
    by_text: dict[tuple[str, tuple[str, ...]], list[tuple[Tree, Event]]] = {}
    for id in sorted(trees):
        tree = trees[id]
        for event in sorted(tree.events.values(), key=lambda event: event.id):
            text = " ".join(event.prevent.split())
            if text and event.remedy is not None and (id, event.id) not in done:
                by_text.setdefault((text, tuple(sorted(tree.applies_to))), []).append((tree, event))
    found = [_prevention(text, against, places) for (text, _), against in by_text.items()]
    return tuple(sorted(found, key=lambda each: each.id))


def valued(
    found: Iterable[Prevention],
    stakes: Mapping[str, Stake],
    vehicle_years: float = 0.0,
    facts: Mapping[str, str] | None = None,
) -> tuple[Valued, ...]:
    """Those that fit the vehicle by what is known of it, with their minutes; what saves most comes first.

        saved = KEEPS_AWAY x sum over (tree S, cause h) of  rate(S) share(h) lift(h) later(h)

    All as in `worth`, but that a case which does not come costs nothing: its whole walk is saved. Of causes
    that make the symptom only together it is enough to keep one away. Equal ones go by their ids.
    """
    known = facts or {}
    fitting = [each for each in found if is_there(_task(each), known)]
    by_value = [
        Valued(
            each,
            KEEPS_AWAY
            * fsum(
                minutes
                for tree in dict.fromkeys(tree for tree, _ in each.against)
                for minutes in _saved(each, stakes.get(tree), vehicle_years, known)
            ),
        )
        for each in fitting
    ]
    return tuple(sorted(by_value, key=lambda each: (-each.saved, each.prevention.id)))


def chosen(ranking: Sequence[Valued], marked: Collection[str] = ()) -> tuple[Valued, ...]:
    """Those that become tasks: the `MOST` that save most, none under `LEAST`, and what was marked before."""
    tasks = [each for each in ranking if each.prevention.kind == "task"]
    best = [each for each in tasks if each.saved >= LEAST][:MOST]
    return tuple(each for each in tasks if each in best or each.prevention.id in marked)


def with_preventions(round: Round, tasks: Iterable[Valued], shipped: Collection[str]) -> Round:
    """The round with those as tasks behind its own: nothing waits for them, and they wait for nothing.

    `shipped` are the trees of the project; a text of any other makes the round not all the project's own.
    """
    more = {
        each.prevention.id: _task(each.prevention) for each in tasks if each.prevention.id not in round.tasks
    }
    own = any(tree not in shipped for task in more.values() for tree in task.opens)
    return replace(
        round,
        tasks={**round.tasks, **more},
        after={**round.after, **{id: frozenset() for id in more}},
        shipped=round.shipped and not own,
    )


def to_book(ranking: Iterable[Valued]) -> dict[str, tuple[Valued, ...]]:
    """Referral -> what to have done there, what saves most first."""
    booked: dict[str, list[Valued]] = {}
    for each in ranking:
        if each.prevention.kind == "book":
            booked.setdefault(each.prevention.refer, []).append(each)
    return {refer: tuple(some) for refer, some in booked.items()}


def _saved(each: Prevention, stake: Stake | None, years: float, facts: Mapping[str, str]) -> Iterable[float]:
    if stake is None or not fits(stake.applies_to, facts):
        return
    rate = (SHAPE + stake.cases) / (PRIOR_YEARS + years)
    kept = {cause for tree, cause in each.against if tree == stake.tree}
    shown = [float(not kept.isdisjoint(cause.split("+"))) for cause in stake.causes]
    for part, later in zip(parts_shown(stake, shown, facts), stake.later, strict=True):
        yield rate * part * later


def _prevention(text: str, against: Sequence[tuple[Tree, Event]], places: Collection[str]) -> Prevention:
    tree, event = against[0]
    hazards = frozenset().union(*(event.hazards for _, event in against))
    facts = {
        fact: frozenset().union(*(one.applies_to[fact] for one, _ in against)) for fact in tree.applies_to
    }
    if all(one.system in DRIVEN for one, _ in against):
        facts = WITH_AN_ENGINE | facts
    at = event.remedy.at if event.remedy is not None and event.remedy.at in places else None
    usual = PLACES.get(tree.system, INSIDE)
    return Prevention(
        f"{GATHERED}{tree.id}-{event.id}",
        text,
        _kind(text, hazards, [event for _, event in against]),
        tuple((tree.id, event.id) for tree, event in against),
        tuple(f"{event.says} ({tree.symptom})" for tree, event in against),
        facts,
        hazards,
        at or (usual if usual in places else next(iter(places))),
        _booked_with(tree, event, hazards),
    )


def _kind(text: str, hazards: Collection[str], events: Iterable[Event]) -> Kind:
    if _HAVE.search(text):
        return "book"
    technician = any(event.remedy is not None and event.remedy.by == "technician" for event in events)
    mild = MILD.issuperset(hazards) and not technician
    return "task" if mild and _NOW.search(text) else "other"


def _booked_with(tree: Tree, event: Event, hazards: Collection[str]) -> str:
    """The firmest referral of its hazards; gas and mains never go to anybody else."""
    usual = {"gas": "gas-engineer", "mains": "electrician", "high-current": "auto-electrician"}
    grave = next((usual[hazard] for hazard in ("gas", "mains") if hazard in hazards), None)
    if grave is not None:
        return grave
    if event.remedy is not None and event.remedy.kind == "refer" and event.remedy.text in BOOKED_WITH:
        return event.remedy.text
    return usual["high-current"] if "high-current" in hazards else "workshop"


def _task(each: Prevention) -> Task:
    """The prevention as a task; what is wrong about it may be walked."""
    first, rest = _parted(each.text)
    against = "; ".join(each.says[:3])
    trees = tuple(dict.fromkeys(tree for tree, _ in each.against))
    prevents = {tree: frozenset(cause for of, cause in each.against if of == tree) for tree in trees}
    return Task(
        each.id,
        first,
        " ".join([*([rest] if rest else []), f"It keeps away: {against}. Fine means that it is done."]),
        each.at,
        "controls",
        "owner",
        MINUTES,
        hazards=each.hazards,
        applies_to=each.applies_to,
        opens=trees,
        prevents=prevents,
        gathered=True,
    )


def _parted(text: str) -> tuple[str, str]:
    """A line, and what follows it."""
    for sign in (". ", "; "):
        first, found, rest = text.partition(sign)
        if found:
            return first, f"{rest[:1].upper()}{rest[1:]}"
    return text.rstrip("."), ""
