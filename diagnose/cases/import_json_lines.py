"""Rows of a JSON Lines file: one object a line, its keys being the columns."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.cases.import_rows import (
    LONGEST_CELL,
    MOST_COLUMNS,
    BadRow,
    FileForm,
    Row,
    checked_header,
    flawed,
)
from diagnose.cases.import_text import LONGEST_LINE, TOO_LONG, TextLines, encoding_of
from diagnose.knowledge.ids import quoted


@dataclass(slots=True)
class JsonLinesRows:
    """The columns are all keys that stand on any line, in the order in which they are met."""

    path: Path
    form: FileForm
    shown: str
    header: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    encoding: str = ""
    _lines: Any = None

    def __post_init__(self) -> None:
        """Go through the file once for its keys."""
        self.encoding = self.form.encoding or encoding_of(self.path, self.shown)
        keys: dict[str, None] = {}
        for _, found in self._parsed():
            if isinstance(found, dict):
                keys.update(dict.fromkeys(found))
                if len(keys) > MOST_COLUMNS:
                    raise flawed(self.shown, 1, 1, f"the lines have more than {MOST_COLUMNS} keys")
        if not keys:
            raise flawed(self.shown, 1, 1, 'the file holds no line with an object such as {"case": 1}')
        self.header = list(keys)
        checked_header(self.header, self.shown, 1)

    def __iter__(self) -> Iterator[tuple[int, Row]]:
        """The rows."""
        for at, found in self._parsed():
            if isinstance(found, BadRow):
                yield at, found
                continue
            cells = [found.get(key) for key in self.header]
            if any(cell not in (None, "") for cell in cells):
                yield at, self._row(cells)

    def done(self) -> float:
        """The part of the file's bytes that has been read."""
        return self._lines.done() if self._lines is not None else 0.0

    def close(self) -> None:
        """Let go of the file."""
        if self._lines is not None:
            self._lines.close()

    def _row(self, cells: list[Any]) -> Row:
        row: list[Any] = []
        for column, value in enumerate(cells, 1):
            if isinstance(value, (dict, list)):
                shown = ["" if isinstance(each, (dict, list)) or each is None else each for each in cells]
                what = "a list" if isinstance(value, list) else "an object"
                return BadRow(shown, column, f"{quoted(self.header[column - 1])} holds {what}; write a text")
            if isinstance(value, str) and len(value) > LONGEST_CELL:
                return BadRow((), column, f"a cell holds more than {LONGEST_CELL:,} characters")
            if value is None:
                row.append("")
            elif isinstance(value, bool):
                row.append("true" if value else "false")
            else:
                row.append(value)
        return row

    def _parsed(self) -> Iterator[tuple[int, dict[str, Any] | BadRow]]:
        self.close()
        self._lines = TextLines(self.path, self.encoding, self.shown)
        try:
            yield from self._objects(iter(self._lines))
        except UnicodeError:
            raise self._lines.undecodable() from None

    def _objects(self, lines: Iterator[str]) -> Iterator[tuple[int, dict[str, Any] | BadRow]]:
        for at, line in enumerate(lines, 1):
            if not line.strip():
                continue
            if line.startswith(TOO_LONG):
                yield at, BadRow((), 1, f"the line holds more than {LONGEST_LINE:,} characters")
                continue
            try:
                found = json.loads(line.rstrip(), object_pairs_hook=_once_each, parse_constant=_no_number)
            except (ValueError, RecursionError) as error:
                why = str(error) if isinstance(error, _Said) else _why(error)
                yield at, BadRow((), getattr(error, "colno", 1), why)
                continue
            if isinstance(found, dict):
                yield at, found
            else:
                yield at, BadRow((), 1, 'the line holds no object such as {"case": 1}')


class _Said(ValueError):
    """What is wrong with a value, worded for the user."""


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        twice = next(key for at, (key, _) in enumerate(pairs) if key in dict(pairs[:at]))
        raise _Said(f"key {quoted(twice)} stands twice on this line")
    return found


def _no_number(word: str) -> float:
    raise _Said(f"{word} is no number in JSON")


def _why(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return "the line is not JSON here"
    return "the line is nested too deeply or holds a number of too many figures"
