"""What a YAML text is made of: scalars, lists and mappings, each with its place.

Scalars follow the YAML 1.2 core schema, with numbers narrowed to those of JSON: `yes` and `off` are texts,
`012`, `1_0`, `12:30` and `.inf` are no numbers, and whatever is quoted is a text.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?")
_NULLS = frozenset({"", "~", "null", "Null", "NULL"})
_TRUE = frozenset({"true", "True", "TRUE"})
_FALSE = frozenset({"false", "False", "FALSE"})


@dataclass(frozen=True, slots=True)
class Scalar:
    """A single value; `plain` says that it is not quoted. Line and column count from 1."""

    value: str
    line: int
    column: int
    plain: bool = True

    @property
    def null(self) -> bool:
        """Whether nothing is written here."""
        return self.plain and self.value in _NULLS

    @property
    def truth(self) -> bool | None:
        """True or false where one of these is written, else None."""
        if not self.plain or self.value not in _TRUE | _FALSE:
            return None
        return self.value in _TRUE

    @property
    def number(self) -> float | None:
        """The number where one is written (finite, in JSON's form), else None."""
        if not self.plain or not _NUMBER.fullmatch(self.value):
            return None
        number = float(self.value)
        return number if math.isfinite(number) else None

    @property
    def text(self) -> str | None:
        """The text where one is written: anything quoted, and what is no number, truth or null."""
        if self.plain and (self.value in _NULLS | _TRUE | _FALSE or _NUMBER.fullmatch(self.value)):
            return None
        return self.value


@dataclass(slots=True)
class ListNode:
    """A list of nodes."""

    line: int
    column: int
    items: list[Node] = field(default_factory=list)


@dataclass(slots=True)
class MapNode:
    """A mapping: pairs of key and node in file order; no key stands twice."""

    line: int
    column: int
    pairs: list[tuple[Scalar, Node]] = field(default_factory=list)

    def get(self, key: str) -> Node | None:
        """The value of a key, None if it is not there."""
        return next((value for name, value in self.pairs if name.value == key), None)


Node = Scalar | ListNode | MapNode


def what_it_is(node: Node) -> str:
    """What stands there, for a message that says what should."""
    if isinstance(node, ListNode):
        return "a list"
    if isinstance(node, MapNode):
        return "a mapping"
    if node.null:
        return "nothing"
    if node.truth is not None:
        return node.value
    if node.number is not None:
        return f"the number {node.value[:30]}"
    return f'"{" ".join(node.value.split())[:60]}"'
