"""What comes of a tree that was extended: flaws, advice, both roles' expected minutes, and the proof."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.common import Common
from diagnose.revising.extending import NewCause, extended, flaws_of
from diagnose.terms import Advice, DiagnoseError, Flaw, Role, Settings, Tree

ROLES: tuple[Role, ...] = ("owner", "technician")


@dataclass(frozen=True, slots=True)
class Minutes:
    """The expected minutes of a role's walks before and after."""

    role: Role
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Judged:
    """A tree with the new cause in it, and what follows; it may be written where `sound`."""

    text: str
    tree: Tree | None
    flaws: tuple[Flaw, ...] = ()
    unsafe: str = ""
    """The rule that a route would break, with the path that breaks it."""
    minutes: tuple[Minutes, ...] = ()
    advice: tuple[Advice, ...] = ()
    """Advice that the tree did not have before."""

    @property
    def sound(self) -> bool:
        """Whether the tree has no flaw and both of its routes are proved safe."""
        return self.tree is not None and not self.flaws and not self.unsafe


def judge(
    text: str,
    old: Tree,
    new: NewCause,
    common: Common,
    others: frozenset[str],
    settings: Settings,
    cache: Path | None,
) -> Judged:
    """The extended tree and what comes of it; raises CannotExtend, CannotSplice, ShareTooLarge.

    The figures are the files' own; no past case counts in them.
    """
    after = extended(text, old, new, common)
    tree, flaws = flaws_of(after, old, common)
    if tree is None:
        return Judged(after, None, flaws)
    had = {(advice.name, advice.text) for advice in old.advice}
    advice = tuple(each for each in tree.advice if (each.name, each.text) not in had)
    try:
        minutes = minutes_of(old, tree, others, settings, cache)
    except DiagnoseError as refused:
        return Judged(after, tree, unsafe=str(refused), advice=advice)
    return Judged(after, tree, minutes=minutes, advice=advice)


def minutes_of(
    old: Tree, new: Tree, others: frozenset[str], settings: Settings, cache: Path | None
) -> tuple[Minutes, ...]:
    """The expected minutes of both roles by the files' own figures.

    Both routes of both trees are compiled and proved; raises UnsafeRoute with the path that breaks a rule.
    """
    return tuple(
        Minutes(role, *(_expected(tree, role, others, settings, cache) for tree in (old, new)))
        for role in ROLES
    )


def _expected(
    tree: Tree, role: Role, others: frozenset[str], settings: Settings, cache: Path | None
) -> float:
    from diagnose.reasoning.figures import figures
    from diagnose.reasoning.model import build_model
    from diagnose.walking.shelf import route_for

    model = build_model(tree, role, settings, other_trees=others)
    return figures(route_for(model, cache), model).expected.cost
