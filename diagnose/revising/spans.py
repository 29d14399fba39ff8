"""A YAML text with the stretch of characters that each of its nodes takes up.

Reading a tree needs only where a node begins; changing one needs where it ends as well, and in which style it
is written. Whatever `knowledge.plain_yaml` refuses (anchors, tags, a second document) is refused before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import yaml

MARK = "\ufeff"
_PARSERS: tuple[Any, ...] = tuple(
    dict.fromkeys((getattr(yaml, "CBaseLoader", yaml.BaseLoader), yaml.BaseLoader))
)


@dataclass(slots=True)
class Span:
    """A node from the character `start` up to `end`, this one not included."""

    kind: Literal["scalar", "list", "map"]
    start: int
    end: int
    after: int
    """From here on other text begins: beyond `end` where line ends belong to a text (`|+`)."""
    column: int
    """Of its first character, from 0; of a list in lines that of its first dash."""
    flow: bool = False
    """Whether it is a list or mapping in brackets."""
    value: str = ""
    pairs: list[tuple[Span, Span]] = field(default_factory=list)
    items: list[Span] = field(default_factory=list)

    def get(self, key: str) -> Span | None:
        """The value of a key, None if it is not there."""
        return next((value for name, value in self.pairs if name.value == key), None)

    def key(self, key: str) -> Span | None:
        """The key itself, None if it is not there."""
        return next((name for name, _ in self.pairs if name.value == key), None)


def spans(text: str) -> Span:
    """The root node of a text that has been found sound; raises yaml.YAMLError for any other."""
    offset = len(text) - len(text.removeprefix(MARK))
    failed: yaml.YAMLError | None = None
    for parser in _PARSERS:
        try:
            return _Builder(text, offset).build(list(yaml.parse(text[offset:], Loader=parser)))
        except yaml.YAMLError as error:
            failed = error
    raise failed or yaml.YAMLError("nothing was read")


@dataclass(slots=True)
class _Builder:
    text: str
    offset: int
    at: int = 0

    def build(self, events: Sequence[Any]) -> Span:
        """The first node of the events."""
        while not isinstance(events[self.at], yaml.NodeEvent):
            self.at += 1
        return self._node(events)

    def _node(self, events: Sequence[Any]) -> Span:
        event = events[self.at]
        self.at += 1
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event)
        kind: Literal["list", "map"] = "map" if isinstance(event, yaml.MappingStartEvent) else "list"
        start = event.start_mark.index + self.offset
        span = Span(kind, start, start, start, event.start_mark.column, bool(event.flow_style))
        while not isinstance(events[self.at], yaml.CollectionEndEvent):
            first = self._node(events)
            if kind == "map":
                span.pairs.append((first, self._node(events)))
            else:
                span.items.append(first)
        if span.flow:
            span.end = span.after = events[self.at].end_mark.index + self.offset
        else:
            last = span.pairs[-1][1] if span.pairs else span.items[-1] if span.items else span
            span.end, span.after = last.end, last.after
        self.at += 1
        return span

    def _scalar(self, event: Any) -> Span:
        start, end = event.start_mark.index + self.offset, event.end_mark.index + self.offset
        after = end
        if event.style in ("|", ">"):
            header = self.text[start:end].splitlines()[0].partition("#")[0]
            end = start + len(self.text[start:end].rstrip())
            after = after if "+" in header else end
        return Span("scalar", start, end, after, event.start_mark.column, value=event.value)
