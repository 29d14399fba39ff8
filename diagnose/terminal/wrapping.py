"""Text laid out for a screen of any width, a phone's 40 columns included.

Words are never broken; only a word that is wider than a whole line is cut, since nothing else fits it.
Widths are those of the screen (Unicode TR11: wide letters take two columns, combining marks none), not counts
of characters. Texts come from files that anybody can write, so whatever could steer a terminal is taken out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

NARROWEST = 20
"""Below this many columns lines are laid out for this many all the same."""

WIDEST = 88
"""Longer lines are hard to read (about 75 letters is the usual advice; common practice, no source)."""

_JOINERS = "\u200c\u200d"


def clean(text: str) -> str:
    """The text without anything that could steer a terminal or turn the reading direction.

    Line ends and tabs become spaces, other control characters a visible mark; direction overrides, soft
    hyphens and other invisible signs go. Joiners stay, since some scripts cannot be written without them.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_cleaned(letter) for letter in text)


def _cleaned(letter: str) -> str:
    if letter in "\n\r\t\v\f\u2028\u2029\u0085":
        return " "
    category = unicodedata.category(letter)
    if category in ("Cc", "Cs"):
        return "\N{REPLACEMENT CHARACTER}"
    if category == "Cf" and letter not in _JOINERS:
        return ""
    return letter


def display_width(text: str) -> int:
    """How many columns of a screen the text takes.

    >>> display_width("cafe"), display_width("暖房")
    (4, 4)
    """
    if text.isascii():
        return len(text)
    return sum(_columns(letter) for letter in text)


def _columns(letter: str) -> int:
    if unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def wrap(text: str, width: int, first: str = "", later: str | None = None) -> tuple[str, ...]:
    """The text in lines of at most `width` columns, `first` before the first and `later` before the others.

    `later` is as many spaces as `first` is wide unless given. The text is cleaned; runs of white space count
    as one space. An empty text gives one line holding only `first`.

    >>> wrap("Light one ring, watch it", 14, "1  ")
    ('1  Light one', '   ring, watch', '   it')
    """
    hanging = " " * display_width(first) if later is None else later
    before = display_width(hanging)
    lines: list[str] = []
    line, taken, empty = first, display_width(first), True
    for word in _fitting_words(clean(text), width - max(taken, before)):
        columns = display_width(word)
        if not empty and taken + 1 + columns > width:
            lines.append(line)
            line, taken, empty = hanging, before, True
        space = "" if empty else " "
        line += space + word
        taken += len(space) + columns
        empty = False
    lines.append(line)
    return tuple(part.rstrip() for part in lines)


def _fitting_words(text: str, room: int) -> Iterator[str]:
    """The words of the text; one that is wider than `room` in pieces that fit."""
    room = max(room, 2)
    for word in text.split():
        if display_width(word) <= room:
            yield word
            continue
        piece, taken = "", 0
        for letter in word:
            columns = _columns(letter)
            if piece and taken + columns > room:
                yield piece
                piece, taken = "", 0
            piece += letter
            taken += columns
        yield piece
