"""The trees at hand as an import needs them, each read once."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from diagnose.knowledge.collection import Heading, Library
from diagnose.terms import Check, DiagnoseError, Tree


@dataclass(slots=True)
class KnownIds:
    """What the trees at hand know, gathered when it is asked for: reading all of them takes a moment."""

    library: Library
    _checks: set[str] | None = None
    _headings: tuple[Heading, ...] | None = None
    _trees: dict[str, Tree | None] = field(default_factory=dict)

    def tree(self, id: str) -> Tree | None:
        """A tree by its id, None where there is none or it is broken."""
        if id not in self._trees:
            try:
                self._trees[id] = self.library.tree(id)
            except DiagnoseError:
                self._trees[id] = None
        return self._trees[id]

    def headings(self) -> tuple[Heading, ...]:
        """The symptoms at hand."""
        if self._headings is None:
            self._headings = self.library.headings()
        return self._headings

    def checks(self) -> Collection[str]:
        """Every check and fact of the trees at hand, old ids too."""
        if self._checks is None:
            trees = [tree for id in self.library.ids() if (tree := self.tree(id)) is not None]
            now = {id for tree in trees for id in (*tree.checks, *tree.facts)}
            self._checks = now | {
                old for tree in trees for check in tree.checks.values() for old in check.was
            }
        return self._checks


def check_of(tree: Tree, id: str) -> Check | None:
    """The check or fact of that id, or that had it once."""
    found = tree.checks.get(id) or tree.facts.get(id)
    return found or next((check for check in tree.checks.values() if id in check.was), None)
