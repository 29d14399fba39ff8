"""Causes of past cases under the ids and in the words that their trees have today."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.knowledge.naming import says_of
from diagnose.reasoning.learning import tally_of
from diagnose.terms import NOT_LISTED, Tally, Tree


class Causes:
    """The causes that were met, each as (symptom, id), seen with the trees at hand."""

    def __init__(self, trees: Mapping[str, Tree], met: Iterable[tuple[str, str]]) -> None:
        self._trees = trees
        self.today: dict[tuple[str, str], str] = {}
        """(symptom, id) -> the id today, where it is another."""
        for symptom, cause in met:
            if symptom in trees:
                now = next(iter(tally_of(trees[symptom], Tally({cause: 1.0})).causes), cause)
                if now != cause:
                    self.today[symptom, cause] = now

    def says(self, symptom: str, cause: str) -> str:
        """The words of a cause; its id where the tree is not at hand, or has it no more."""
        if cause == NOT_LISTED:
            return "Something that is not listed"
        tree = self._trees.get(symptom)
        return (says_of(tree, cause) if tree is not None else "") or cause
