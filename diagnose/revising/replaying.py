"""All past cases over two versions of a tree: is the true cause found sooner, and surer, with the new one?

Every confirmed case is judged by both trees from its own findings and from what all other cases teach; the
case itself is left out of the sums that judge it, or it would flatter itself. Cases that have the same
findings and the same cause are worked out once.

What a case is held against:

    log loss    -ln of the share that its true cause had at the end (Good 1952)
    rank        the place of the true cause in the ranking, from 1
    minutes     what the file's route would have cost, in minutes as a route counts them
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from pathlib import Path

from diagnose.cases.confirmed import ConfirmedCase, confirmed_in_order, confirmed_number
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import read_tally, weight
from diagnose.reasoning.learning import merged
from diagnose.revising.replaying_book import Book
from diagnose.revising.replaying_found import Replay
from diagnose.revising.replaying_side import Side, sides
from diagnose.revising.taken_for import NOBODY, TakenFor, sums_with
from diagnose.terms import DiagnoseError, Settings, Tree


class NotTwoVersions(DiagnoseError):
    """The two trees have nothing to do with each other."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is replayed, and with what."""

    old: Tree
    new: Tree
    settings: Settings = Settings()  # noqa: RUF009 - frozen
    other_trees: frozenset[str] = frozenset()
    """Those that a walk may be handed over to."""
    cache: Path | None = None
    """Where compiled routes are kept."""
    taken_for: TakenFor = field(default_factory=lambda: NOBODY)
    """Cases that are taken for another cause than they are confirmed as."""


def replay(
    store: CaseStore,
    wanted: Wanted,
    now: datetime,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Replay:
    """Both trees over every confirmed case of their symptom; `progress` hears how many of how many are done.

    `now` matters where old cases count less (half-life).

    Raises NotTwoVersions where the trees share no cause, TreeTooLarge, and UnsafeRoute for a tree that has no
    route. Work: cases once, and one pass along both routes for every case that differs from the others.
    """
    old, new = sides(wanted.old, wanted.new, wanted.settings, wanted.other_trees, wanted.cache)
    _refuse_strangers(old, new)
    symptoms = tuple(dict.fromkeys((wanted.old.id, wanted.new.id)))
    taken = [(store.case(case), cause) for case, cause in wanted.taken_for.items()]
    with store.reading() as connection:
        number = confirmed_number(connection, symptoms)
        tally = merged(*(read_tally(connection, id, now, wanted.settings.half_life) for id in symptoms))
        counts = partial(weight, now=now, half_life=wanted.settings.half_life)
        book = Book(old, new, counts)
        book.learn(sums_with(tally, taken, counts))
        for done, case in enumerate(confirmed_in_order(connection, symptoms), start=1):
            book.take(_taken(case, wanted.taken_for))
            progress(done, number)
    return book.told(round(tally.total) if wanted.settings.half_life is None else None)


def _taken(case: ConfirmedCase, taken_for: TakenFor) -> ConfirmedCase:
    cause = taken_for.get(case.record.case)
    return case if cause is None else replace(case, record=replace(case.record, cause=cause))


def nothing_replayed(wanted: Wanted) -> Replay:
    """What replaying comes to where there is no case; raises what `replay` does."""
    old, new = sides(wanted.old, wanted.new, wanted.settings, wanted.other_trees, wanted.cache)
    _refuse_strangers(old, new)
    return Book(old, new, lambda _: 1.0).told(None)


def _refuse_strangers(old: Side, new: Side) -> None:
    if not any(new.has_place_for("+".join(causes)) for causes in old.tree.cut_sets):
        raise NotTwoVersions(
            f'"{old.tree.id}" and "{new.tree.id}" have no cause in common; '
            "replay compares two versions of one tree"
        )
