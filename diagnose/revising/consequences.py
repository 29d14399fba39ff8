"""What follows from a change to a tree: flaws and advice, minutes for everybody, the proof, and past cases.

Told from the two trees and the store, before anything is written: whoever changes a tree sees what the next
owner and the next technician will meet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TypeVar

from diagnose.cases.store import CaseStore
from diagnose.cases.sums import weight
from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.figures import Parts, figures
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import RULES
from diagnose.revising.advising import advice_on
from diagnose.revising.replaying import NotTwoVersions, Wanted, replay
from diagnose.revising.replaying_found import Replay
from diagnose.revising.taken_for import NOBODY, TakenFor, sums_with
from diagnose.terms import Advice, DiagnoseError, Flaw, Role, Settings, Tally, Tree
from diagnose.walking.shelf import route_for

ROLES: tuple[Role, ...] = ("owner", "technician")
Found = TypeVar("Found", Flaw, Advice)


@dataclass(frozen=True, slots=True)
class Costs:
    """What one role's route lets expect."""

    expected: Parts
    """Minutes in all, hands-on minutes, minutes of waiting, money."""
    least: float
    """No route can be under this."""
    nodes: int

    @property
    def gap(self) -> float:
        """How far the route can be from the best, as a part of its expected minutes (0 to 1)."""
        over = self.expected.cost - self.least
        return max(0.0, over / self.expected.cost) if self.expected.cost > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Proof:
    """The routes of a tree, proved; or why there is none."""

    costs: Mapping[Role, Costs] = field(default_factory=dict)
    proved: tuple[int, ...] = ()
    """The safety rules that both routes keep."""
    refused: str = ""
    """What breaks a rule, with the path that does."""


@dataclass(frozen=True, slots=True)
class Consequences:
    """What a change comes to; a tree that is not sound has neither routes nor past."""

    tree: str
    flaws_new: tuple[Flaw, ...]
    flaws_gone: tuple[Flaw, ...]
    flaws_left: tuple[Flaw, ...]
    """Flaws that were there before and still are."""
    advice_new: tuple[Advice, ...]
    advice_gone: tuple[Advice, ...]
    before: Proof | None
    """None where there was no sound tree."""
    after: Proof | None
    """None where the new tree has flaws."""
    replay: Replay | None
    """None where no store was given, or one of the trees cannot be replayed."""
    counted: float = 0.0
    """How many past cases the expected minutes have learned from."""

    @property
    def may_be_written(self) -> bool:
        """Whether the new tree is sound and its routes keep every safety rule."""
        return self.after is not None and not self.after.refused


@dataclass(frozen=True, slots=True)
class Asked:
    """What the consequences are reckoned with."""

    now: datetime
    settings: Settings = Settings()  # noqa: RUF009 - frozen
    other_trees: frozenset[str] = frozenset()
    """Those that a walk may be handed over to."""
    cache: Path | None = None
    """Where compiled routes are kept."""
    taken_for: TakenFor = field(default_factory=lambda: NOBODY)
    """Cases that are taken for another cause than they are confirmed as."""


def consequences(
    old: Tree | None,
    new: Tree | None,
    asked: Asked,
    store: CaseStore | None = None,
    *,
    old_flaws: Sequence[Flaw] = (),
    new_flaws: Sequence[Flaw] = (),
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Consequences:
    """What follows from putting `new` in the place of `old`.

    `old` is None for a tree that was not there, or not sound; `new` is None for one with flaws, which then
    stand in `new_flaws`. With a store the expected minutes are those of a walk that has learned from it, and
    past cases are replayed (`progress` is told how many of how many). A route that breaks a safety rule is
    told, never raised.
    """
    fresh, gone, left = _changed(tuple(old_flaws), tuple(new_flaws))
    advice_new, advice_gone, _ = _changed(_advice(old, asked), _advice(new, asked))
    tally = moved = Tally()
    if store is not None and new is not None:
        taken = [(store.case(case), cause) for case, cause in asked.taken_for.items()]
        counts = partial(weight, now=asked.now, half_life=asked.settings.half_life)
        tally = store.tally(new.id, asked.now, asked.settings.half_life)
        moved = sums_with(tally, taken, counts)
    before = _proof(old, asked, tally) if old is not None else None
    after = _proof(new, asked, moved) if new is not None else None
    return Consequences(
        tree=new.id if new is not None else old.id if old is not None else "",
        flaws_new=fresh,
        flaws_gone=gone,
        flaws_left=left,
        advice_new=advice_new,
        advice_gone=advice_gone,
        before=before,
        after=after,
        replay=_replayed(old, new, before, after, asked, store, progress),
        counted=tally.total,
    )


def _advice(tree: Tree | None, asked: Asked) -> tuple[Advice, ...]:
    """All advice on the file by itself; where it has no safe route, that on its texts and shares."""
    if tree is None:
        return ()
    try:
        models = {role: build_model(tree, role, asked.settings, Tally(), asked.other_trees) for role in ROLES}
        routes = {role: route_for(models[role], asked.cache) for role in ROLES}
    except DiagnoseError:
        return tree.advice
    return advice_on(tree, models, routes)


def _proof(tree: Tree, asked: Asked, tally: Tally) -> Proof:
    costs: dict[Role, Costs] = {}
    try:
        for role in ROLES:
            model = build_model(tree, role, asked.settings, tally, asked.other_trees)
            # `route_for` proves each route that it hands out, and raises where a rule is broken.
            route = route_for(model, asked.cache)
            costs[role] = Costs(figures(route, model).expected, least_minutes(model), len(route.nodes))
    except DiagnoseError as error:
        return Proof(refused=str(error))
    return Proof(costs, tuple(RULES))


def _replayed(
    old: Tree | None,
    new: Tree | None,
    before: Proof | None,
    after: Proof | None,
    asked: Asked,
    store: CaseStore | None,
    progress: Callable[[int, int], None],
) -> Replay | None:
    sound = before is not None and after is not None and not before.refused and not after.refused
    if store is None or old is None or new is None or not sound:
        return None
    wanted = Wanted(old, new, asked.settings, asked.other_trees, asked.cache, asked.taken_for)
    try:
        return replay(store, wanted, asked.now, progress)
    except NotTwoVersions:
        return None


def _changed(
    old: Sequence[Found], new: Sequence[Found]
) -> tuple[tuple[Found, ...], tuple[Found, ...], tuple[Found, ...]]:
    """What is new, what is gone, what stayed; lines move with a change, so places play no part."""
    had, has = Counter(map(_without_place, old)), Counter(map(_without_place, new))
    fresh, stayed = _more_than(new, had)
    gone, _ = _more_than(old, has)
    return fresh, gone, stayed


def _more_than(found: Sequence[Found], there: Counter[str]) -> tuple[tuple[Found, ...], tuple[Found, ...]]:
    """What is found more often than it is there, and the rest."""
    left = Counter(there)
    more: list[Found] = []
    others: list[Found] = []
    for each in found:
        key = _without_place(each)
        (others if left[key] > 0 else more).append(each)
        left[key] -= 1
    return tuple(more), tuple(others)


def _without_place(found: Flaw | Advice) -> str:
    return found.message
