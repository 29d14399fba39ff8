"""What an id may look like, and the right word nearest to a wrong one.

An id becomes a file name, a column of a table and a word on the command line, so it is plain lower case
ASCII and never one of the words that these places already use (the device names of common systems too).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

LONGEST_ID = 60
RESERVED = frozenset(
    {"not-listed", "otherwise", "not-sure", "case", "date", "symptom", "cause", "vehicle"}
    | {"con", "prn", "aux", "nul"}
    | {f"{device}{number}" for device in ("com", "lpt") for number in range(10)}
)
PATTERN = r"[a-z][a-z0-9]*(-[a-z0-9]+)*"
_ID = re.compile(PATTERN)
_LONGEST_QUOTE = 60


def quoted(text: str) -> str:
    """The text in double quotes, on one line and not over-long, for use in a message."""
    line = " ".join(text.split())
    return f'"{line if len(line) <= _LONGEST_QUOTE else line[: _LONGEST_QUOTE - 1] + "…"}"'


def why_no_id(word: str) -> str:
    """Why a word cannot be an id, as the rest of a sentence that begins with the word; "" if it can."""
    if len(word) > LONGEST_ID:
        return f"is {len(word)} characters long; an id has {LONGEST_ID} at most"
    if not _ID.fullmatch(word):
        return "is no id; write lower case letters and figures, joined by single hyphens, a letter first"
    if word in RESERVED:
        return "is a reserved word and cannot be an id"
    return ""


def as_id(text: str) -> str:
    """The id nearest to a free text, "" if there is none."""
    word = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:LONGEST_ID].rstrip("-")
    return word if word and not why_no_id(word) else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like this one, "" where none is like it."""
    close = several_nearest(word, known, 1)
    return close[0] if close else ""


def several_nearest(word: str, known: Iterable[str], most: int, cutoff: float = 0.6) -> tuple[str, ...]:
    """The known words most like this one, the best first."""
    from difflib import get_close_matches  # seven milliseconds that only a wrong word has to pay

    return tuple(get_close_matches(word[:LONGEST_ID], list(known), most, cutoff))
