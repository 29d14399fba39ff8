"""Two versions of a tree that know each other's names: an id of either is led to what the other calls it.

A tree leads older ids to its own by `was`. A past case may stand under a newer id than an old tree can know:
then what the new tree says of it (its `was`) is read the other way round.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from diagnose.terms import NOT_LISTED, Tally, Tree
from diagnose.walking.renamed import cut_set_today


def with_names_of(tree: Tree, other: Tree) -> Tree:
    """The tree whose `was` holds besides what the other tree calls its events and checks.

    An id that is in use here, or was, keeps its own meaning; one that could mean two things gets none.
    """
    events = {id: event.was for id, event in tree.events.items()}
    others = {id: event.was for id, event in other.events.items()}
    checks = {id: check.was for id, check in tree.checks.items()}
    other_checks = {id: check.was for id, check in other.checks.items()}
    more, more_checks = _further(events, others), _further(checks, other_checks)
    return replace(
        tree,
        events={id: replace(event, was=(*event.was, *more.get(id, ()))) for id, event in tree.events.items()},
        checks={
            id: replace(check, was=(*check.was, *more_checks.get(id, ())))
            for id, check in tree.checks.items()
        },
    )


def _further(
    own: Mapping[str, Sequence[str]], others: Mapping[str, Sequence[str]]
) -> dict[str, tuple[str, ...]]:
    """Own id -> what the others call it besides."""
    means = {name: id for id, was in own.items() for name in (*was, id)}
    found: dict[str, tuple[str, ...]] = {}
    for id, was in others.items():
        names = (id, *was)
        meant = {means[name] for name in names if name in means}
        if len(meant) == 1:
            here = meant.pop()
            found[here] = (*found.get(here, ()), *(name for name in names if name not in means))
    return found


def cause_here(tree: Tree, cause: str) -> str | None:
    """What a confirmed cause is called in this tree; None where it has no place."""
    return cause if cause == NOT_LISTED else cut_set_today(tree, cause)


def unknown_as_not_listed(tree: Tree, tally: Tally, known_elsewhere: Iterable[str]) -> Tally:
    """The sums as they would be had this tree been there all along: what it does not know is `not-listed`.

    Only causes of `known_elsewhere` are led there; any other without a place counts for nothing, as ever.
    """
    away = {id for id in known_elsewhere if cause_here(tree, id) is None}
    if not away:
        return tally

    def named(cause: str) -> str:
        return NOT_LISTED if cause in away else cause

    def causes(sums: Mapping[str, float]) -> dict[str, float]:
        found: dict[str, float] = {}
        for id, count in sums.items():
            found[named(id)] = found.get(named(id), 0.0) + count
        return found

    def answers(sums: Mapping[tuple[str, str, str], float]) -> dict[tuple[str, str, str], float]:
        found: dict[tuple[str, str, str], float] = {}
        for (id, check, answer), count in sums.items():
            key = (named(id), check, answer)
            found[key] = found.get(key, 0.0) + count
        return found

    return Tally(
        causes(tally.causes),
        answers(tally.answers),
        {
            ending: replace(each, causes=causes(each.causes), answers=answers(each.answers))
            for ending, each in tally.endings.items()
        },
    )
