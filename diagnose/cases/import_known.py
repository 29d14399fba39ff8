"""The trees at hand as an import needs them, each read once."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field

from diagnose.knowledge.collection import Heading, Library
from diagnose.knowledge.nodes import ListNode, MapNode, Scalar
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.terms import Check, DiagnoseError, Tree


@dataclass(slots=True)
class KnownIds:
    """What the trees at hand know, gathered when it is asked for: reading all of them takes a moment."""

    trees: Library
    _checks: set[str] | None = None
    _headings: tuple[Heading, ...] | None = None
    _read: dict[str, Tree | None] = field(default_factory=dict)

    def tree(self, id: str) -> Tree | None:
        """A tree by its id, None where there is none or it is broken."""
        if id not in self._read:
            try:
                self._read[id] = self.trees.tree(id)
            except DiagnoseError:
                self._read[id] = None
        return self._read[id]

    def headings(self) -> tuple[Heading, ...]:
        """The symptoms at hand."""
        if self._headings is None:
            self._headings = self.trees.headings()
        return self._headings

    def checks(self) -> Collection[str]:
        """Every check and fact of the trees at hand, old ids too.

        Only the names are read: whether a tree is sound is seen when a row is of its symptom.
        """
        if self._checks is None:
            common = self.trees.common()
            self._checks = {*common.checks, *common.facts}
            for id in self.trees.ids():
                self._checks.update(_names_of_checks(self.trees, id))
        return self._checks


def _names_of_checks(library: Library, id: str) -> Iterator[str]:
    try:
        root, _ = compose(read_bytes(library.path_of(id)), id)
    except DiagnoseError:
        return
    checks = root.get("checks") if root is not None else None
    for key, check in checks.pairs if isinstance(checks, MapNode) else ():
        yield key.value
        was = check.get("was") if isinstance(check, MapNode) else None
        old = was.items if isinstance(was, ListNode) else [was]
        yield from (word.value for word in old if isinstance(word, Scalar))


def check_of(tree: Tree, id: str) -> Check | None:
    """The check or fact of that id, or that had it once."""
    found = tree.checks.get(id) or tree.facts.get(id)
    return found or next((check for check in tree.checks.values() if id in check.was), None)
