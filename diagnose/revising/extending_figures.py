"""A tree with a new cause in it, and what comes of it: flaws, advice, minutes, the proof, past cases."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.cases.store import CaseStore
from diagnose.knowledge.common import Common
from diagnose.revising.consequences import Asked, Consequences, consequences
from diagnose.revising.extending import NewCause, extended, flaws_of
from diagnose.terms import Flaw, Tree

MOST_REPLAYED = 20_000
"""Confirmed cases that are tried while somebody waits; `trees replay` tries any number."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The text with the new cause in it, and what follows; it may be written where `sound`."""

    text: str
    found: Consequences
    flaws: tuple[Flaw, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether the tree has no flaw and both of its routes are proved safe."""
        return not self.flaws and self.found.may_be_written

    @property
    def unsafe(self) -> str:
        """The rule that a route would break, with the path that breaks it."""
        return self.found.after.refused if self.found.after is not None else ""


def judge(
    text: str, old: Tree, new: NewCause, common: Common, asked: Asked, store: CaseStore | None
) -> Judged:
    """The extended tree and what comes of it; raises CannotExtend, CannotSplice, ShareTooLarge.

    Without a store the figures are the files' own, and no past case is tried.
    """
    after = extended(text, old, new, common)
    tree, flaws = flaws_of(after, old, common)
    return Judged(after, consequences(old, tree, asked, store, new_flaws=flaws), flaws)
