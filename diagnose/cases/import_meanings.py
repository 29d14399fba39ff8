"""What a cell was understood as: each distinct text is understood once and remembered, or refused."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from diagnose.cases.cells import as_it_was
from diagnose.terms import Tree

V = TypeVar("V")
_MOST_KEPT = 20_000
_LONGEST_KEPT = 200


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a cell is not taken; `about` says which words a mapping could explain."""

    text: str
    meant: str = ""
    doubtful: bool = False
    about: tuple[str, str, str] | None = None
    """(symptoms, causes, states, answers, vehicles, dates or decimal; the id they belong to; the words)"""

    @property
    def message(self) -> str:
        """The text with what may be meant."""
        return self.text + (f' (did you mean "{self.meant}"?)' if self.meant else "")


class Meanings(dict[Any, V], Generic[V]):
    """Cell -> what it means, worked out when it is first looked up; holds only so many, and no long ones."""

    def __init__(self, meaning: Callable[[str], V]) -> None:
        super().__init__()
        self._meaning = meaning

    def __missing__(self, cell: Hashable) -> V:
        text = as_it_was(cell) if isinstance(cell, str) else text_of(cell)
        found = self._meaning(text)
        if len(text) <= _LONGEST_KEPT:
            if len(self) >= _MOST_KEPT:
                self.clear()
            self[cell] = found
        return found


def text_of(cell: object) -> str:
    """A cell as text. A number has one figure more than three behind its point, so that it groups nothing."""
    if isinstance(cell, str):
        return cell
    text = repr(cell)
    return f"{text}0" if "." in text and "e" not in text else text


@dataclass(slots=True)
class Known:
    """A symptom that is known, and what the cells beside it mean under it."""

    id: str
    digest: str
    tree: Tree
    causes: Meanings[str | Refusal]
    """Cause's id; empty where nobody knows it."""
    answers: dict[str, Meanings[Any]]
    """Check -> cell -> (check, answer, value, uncertainty), None where nothing stands there, or Refusal."""
