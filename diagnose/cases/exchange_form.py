"""The form of an export: JSON taken apart so far that every value and every row has its place in the text.

Python's parser is given one flat value or row at a time: whatever somebody sends, nothing is nested, no
list is longer than a row, and what is read takes no more memory than a small multiple of the file.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NoReturn

from diagnose.knowledge.characters import Places, without_refused
from diagnose.knowledge.ids import nearest, quoted
from diagnose.terms import Flaw, FlawedKnowledge

MOST_FLAWS = 20
"""So many are told of one file; after that it is not looked at further."""
MOST_ROWS = 500_000
"""Rows of one table; a store of forty symptoms has some ten thousand in ten years."""

_SPACE = re.compile(r"[ \t\n\r]*")
_ROW = re.compile(r"\[[^][{}]{0,4000}\]")
_CUT_ROW = re.compile(r"\[[^][{}]*\Z")
_SCALAR = re.compile(r'"(?:[^"\\\x00-\x1f]|\\.){0,4000}"|[^][{}",:\s]{1,40}')


class _NoWholeNumber:
    """What the file has where it has a fraction, a NaN or a number of endless figures."""


_DECODER = json.JSONDecoder(
    parse_float=lambda _: _NoWholeNumber(),
    parse_constant=lambda _: _NoWholeNumber(),
    parse_int=lambda figures: int(figures) if len(figures) < 20 else _NoWholeNumber(),
)


@dataclass(slots=True)
class Flaws:
    """What is wrong with one file; finding one too many ends the looking."""

    file: str
    text: str
    found: list[Flaw] = field(default_factory=list)
    _places: Places | None = None

    def at(self, index: int, text: str, meant: str = "") -> None:
        """Note a flaw. Raises FlawedKnowledge when there are too many."""
        self._places = self._places or Places(self.text)
        self.found.append(Flaw(self.file, *self._places.of(index), text, meant))
        if len(self.found) >= MOST_FLAWS:
            self.tell()

    def stop(self, index: int, text: str) -> NoReturn:
        """Note a flaw behind which nothing can be made out; raises FlawedKnowledge."""
        self.at(index, text)
        raise FlawedKnowledge(tuple(self.found))

    def tell(self) -> None:
        """Raises FlawedKnowledge if there is a flaw."""
        if self.found:
            raise FlawedKnowledge(tuple(self.found))


@dataclass(slots=True)
class Apart:
    """An export taken apart: plain values, and rows, each with the index at which it begins."""

    plain: dict[str, Any] = field(default_factory=dict)
    tables: dict[str, list[tuple[int, list[Any]]]] = field(default_factory=dict)
    at: dict[str, int] = field(default_factory=dict)


def take_apart(flaws: Flaws, plain: Collection[str], tables: Mapping[str, tuple[str, ...]]) -> Apart:
    """The values of the `plain` keys and the rows of the `tables`; of the latter the columns are given.

    Raises FlawedKnowledge for what is no such object: broken JSON, other keys, keys that stand twice,
    nesting.
    """
    return _Reader(flaws, plain, tables).object()


@dataclass(slots=True)
class _Reader:
    flaws: Flaws
    plain: Collection[str]
    tables: Mapping[str, tuple[str, ...]]
    apart: Apart = field(default_factory=Apart)
    behind: int = 0
    """The index behind what was read last."""

    def object(self) -> Apart:
        text = self.flaws.text
        start = self._space(0)
        if text[start : start + 1] != "{":
            self.flaws.stop(start, "is no export of a case store: it does not begin with {")
        for at in self._members(start, "}"):
            self._member(at)
        end = self._space(self.behind)
        if end != len(text):
            self.flaws.stop(end, "something more stands behind the export")
        return self.apart

    def _member(self, at: int) -> None:
        key = self._scalar(at)
        if not isinstance(key, str):
            self.flaws.stop(at, "a key in double quotes is wanted here")
        known = (*self.plain, *self.tables)
        if key not in known:
            meant = nearest(key, known)
            tail = f' (did you mean "{meant}"?)' if meant else ""
            self.flaws.stop(at, f"key {quoted(without_refused(key))} does not belong here{tail}")
        if key in self.apart.at:
            self.flaws.stop(at, f'key "{key}" stands twice')
        colon = self._space(self.behind)
        if self.flaws.text[colon : colon + 1] != ":":
            self.flaws.stop(colon, "the JSON is broken here; a colon is wanted")
        start = self.apart.at[key] = self._space(colon + 1)
        if key in self.plain:
            self.apart.plain[key] = self._scalar(start)
        else:
            self.apart.tables[key] = self._rows(key, start)

    def _rows(self, key: str, start: int) -> list[tuple[int, list[Any]]]:
        if start == len(self.flaws.text):
            self._broken(start)
        if self.flaws.text[start] != "[":
            self.flaws.stop(start, f'"{key}" is no list of rows')
        rows: list[tuple[int, list[Any]]] = []
        for at in self._members(start, "]"):
            rows.append((at, self._row(key, at, len(rows) + 1)))
            if len(rows) > MOST_ROWS:
                self.flaws.stop(at, f"{key} has more than {MOST_ROWS} rows")
        return rows

    def _row(self, key: str, at: int, number: int) -> list[Any]:
        if not _ROW.match(self.flaws.text, at):
            if self.flaws.text[at : at + 1] in ("", "]") or _CUT_ROW.match(self.flaws.text, at):
                self._broken(at)
            self.flaws.stop(at, f"row {number} of {key}: it is no list of {', '.join(self.tables[key])}")
        row: list[Any] = self._decoded(at)
        return row

    def _scalar(self, at: int) -> Any:
        if not _SCALAR.match(self.flaws.text, at):
            self._broken(at)
        return self._decoded(at)

    def _decoded(self, at: int) -> Any:
        try:
            value, self.behind = _DECODER.raw_decode(self.flaws.text, at)
        except json.JSONDecodeError as error:
            self._broken(error.pos)
        return value

    def _members(self, at: int, closing: str) -> Iterator[int]:
        """Where each member of the object or list at `at` begins; read each before the next is asked for."""
        text = self.flaws.text
        at = self._space(at + 1)
        self.behind = at
        if text[at : at + 1] != closing:
            while True:
                yield at
                at = self._space(self.behind)
                if text[at : at + 1] != ",":
                    break
                at = self._space(at + 1)
            if text[at : at + 1] != closing:
                self.flaws.stop(at, f"the JSON is broken or cut short here; a comma or {closing} is wanted")
        self.behind = at + 1

    def _space(self, at: int) -> int:
        found = _SPACE.match(self.flaws.text, at)
        assert found is not None
        return found.end()

    def _broken(self, at: int) -> NoReturn:
        self.flaws.stop(at, "the JSON is broken or cut short here")
