"""Values as YAML text in the manner of the tree files: short mappings in brackets, long texts folded."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Mapping, Sequence

from diagnose.knowledge.nodes import Scalar

Value = str | float | bool | Sequence["Value"] | Mapping[str, "Value"]
"""What can be written into a file."""

WIDEST = 110
STEP = 2
"""Columns by which each level is set in."""
_PLAIN = re.compile(r"[^\W\d_][\w .()/%°;=+’'-]*")
_PLAIN_IN_LINES = re.compile(r"[^\W\d_][\w .()/%°;=+’',?!-]*")
_READ_OTHERWISE_ELSEWHERE = frozenset({"yes", "no", "on", "off", "y", "n"})


def scalar(value: str | float | bool, *, flow: bool = True) -> str:
    """One value on one line, a text quoted where it has to be (or where other programs would misread it).

    >>> scalar("Weak, or none"), scalar("yes"), scalar(2.0), scalar("12")
    ('"Weak, or none"', '"yes"', '2', '"12"')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else repr(float(value))
    allowed = _PLAIN if flow else _PLAIN_IN_LINES
    if (
        allowed.fullmatch(value)
        and value == " ".join(value.split(" "))
        and value == value.strip()
        and value.isprintable()
        and value.casefold() not in _READ_OTHERWISE_ELSEWHERE
        and Scalar(value, 1, 1).text is not None
    ):
        return value
    return json.dumps(value, ensure_ascii=False)


def in_brackets(value: Value) -> str:
    """Any value on one line.

    >>> in_brackets({"ask": "Is it warm?", "was": ["cold", "cool"]})
    '{ask: "Is it warm?", was: [cold, cool]}'
    """
    if isinstance(value, (str, int, float)):
        return scalar(value)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{scalar(key)}: {in_brackets(item)}" for key, item in value.items())
        return "{" + inner + "}"
    return "[" + ", ".join(in_brackets(item) for item in value) + "]"


def in_lines(key: str, value: Value, column: int, *, open: bool = False) -> list[str]:
    """A key with its value as lines from that column on; `open` lays out the first level in lines anyway."""
    margin = " " * column
    first = f"{margin}{scalar(key)}:"
    if isinstance(value, str):
        line = f"{first} {scalar(value, flow=False)}"
        return (
            [line] if len(line) <= WIDEST or not _folds(value) else [f"{first} >-", *_folded(value, column)]
        )
    if isinstance(value, (int, float)):
        return [f"{first} {scalar(value)}"]
    line = f"{first} {in_brackets(value)}"
    if not value or (len(line) <= WIDEST and not open):
        return [line]
    if isinstance(value, Mapping):
        return [
            first,
            *(line for name, item in value.items() for line in in_lines(name, item, column + STEP)),
        ]
    return [first, *(f"{margin}{' ' * STEP}- {in_brackets(item)}" for item in value)]


def _folds(text: str) -> bool:
    """Whether the text comes back as it was from lines that are joined by single spaces."""
    return text == " ".join(text.split()) and text.isprintable()


def _folded(text: str, column: int) -> list[str]:
    margin = " " * (column + STEP)
    return textwrap.wrap(
        text,
        max(WIDEST, len(margin) + 40),
        initial_indent=margin,
        subsequent_indent=margin,
        break_long_words=False,
        break_on_hyphens=False,
    )
