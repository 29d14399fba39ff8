"""Characters that no file here may hold, however they are spelled.

A tree can come from anybody. A control character can rewrite the terminal it is shown on, a direction
override can make a text read otherwise than it is, an invisible one can hide a word from the safety rules.
Soft hyphens stay allowed: they hide nothing from the rules, which leave them out.
"""

from __future__ import annotations

import re
from bisect import bisect_right

_REFUSED = (
    "\x00-\x09\x0b\x0c\x0e-\x1f\x7f-\x9f"  # controls, tab included; line ends are judged apart
    "\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f"  # fillers, zero width, direction marks
    "\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0"  # line separators, embeddings, overrides, isolates
    "\ud800-\udfff\ufff0-\ufffb\ufffe\uffff"  # halves of pairs, annotations, no characters
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"  # further invisible ones
)
_IN_A_FILE = re.compile(f"[{_REFUSED}]|\r(?!\n)")
_IN_A_TEXT = re.compile(f"[{_REFUSED}\r]")
STAND_IN = "\ufffd"


def refused_in_file(text: str) -> list[tuple[int, str]]:
    """Every refused character of a file's text, with its index."""
    return [(found.start(), found.group()) for found in _IN_A_FILE.finditer(text)]


def refused_in_text(text: str) -> str:
    """The first refused character of a text after its escapes are resolved, "" if there is none."""
    found = _IN_A_TEXT.search(text)
    return found.group() if found else ""


def without_refused(text: str) -> str:
    """A text fit to be parsed and quoted: spaces for tabs and stray returns, a stand-in for the rest."""
    return _IN_A_TEXT.sub(lambda found: " " if found.group() in "\t\r" else STAND_IN, text)


def file_without_refused(text: str) -> str:
    """The same for a whole file, whose line ends stay as they are; no index moves."""
    return _IN_A_FILE.sub(lambda found: " " if found.group() in "\t\r" else STAND_IN, text)


def described(character: str) -> str:
    """What a refused character is, for a message."""
    if character == "\t":
        return "a tab stands here; write spaces"
    name = f"U+{ord(character):04X}"
    if ord(character) < 0xA0:
        return f"the control character {name} stands here; take it out"
    return f"the invisible or direction-changing character {name} stands here; take it out"


class Places:
    """Line and column of an index in a text, both from 1, in characters."""

    def __init__(self, text: str) -> None:
        self._starts = [0, *(end.end() for end in re.finditer(r"\r\n|\n|\r", text))]

    def of(self, index: int) -> tuple[int, int]:
        """The line and column."""
        line = bisect_right(self._starts, index)
        return line, index - self._starts[line - 1] + 1
