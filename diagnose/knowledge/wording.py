"""Words in instructions: those that no text may hold under a hazard, and those that speak of a hazard.

A pattern is one or more words; `*` at the end of a word stands for any ending, `...` between words for up to
four others. Capitals, accents, hyphens and soft hyphens make no difference: a hyphen is read both as nothing
("un-screw") and as a space ("cover-off"), and forms of letters that look alike by compatibility (full width,
ligatures) as the plain ones.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

_ENDING = r"\w*"
_BETWEEN = {"...": r"(?:\s+\w+){0,4}?\s+"}


def plain_forms(text: str) -> tuple[str, str]:
    """The text in small plain letters, once with what joins words taken out and once with it as a space."""
    letters = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    kept = "".join(letter for letter in letters if unicodedata.category(letter) not in ("Mn", "Me", "Cf"))
    spaced = re.sub(r"[^\w\s]|_", " ", kept)
    return re.sub(r"[^\w\s]\s?|_", "", re.sub(r"(?<=[.,;:!?])\s", "  ", kept)), spaced


@lru_cache(maxsize=256)
def _pattern(words: tuple[str, ...]) -> re.Pattern[str] | None:
    """One expression for all patterns, the longest first."""
    alternatives = [_expression(word) for word in sorted(words, key=len, reverse=True)]
    usable = [one for one in alternatives if one]
    return re.compile(rf"\b(?:{'|'.join(usable)})\b") if usable else None


def _expression(pattern: str) -> str:
    """A pattern as a regular expression; words of a phrase may also be written as one."""
    parts: list[str] = []
    between = ""
    for word in unicodedata.normalize("NFKC", pattern).casefold().replace("-", " ").split():
        if word == "...":
            between = _BETWEEN[word]
            continue
        stem, star = word.removesuffix("*"), word.endswith("*")
        stem = re.sub(r"[^\w]|_", "", stem)
        if not stem:
            continue
        if parts:
            parts.append(between or r"\s*")
        parts.append(re.escape(stem) + (_ENDING if star else ""))
        between = ""
    return "".join(parts)


def first_word(text: str, words: Iterable[str]) -> str:
    """The first of these words that a text holds, as it stands there in small letters; "" if none."""
    pattern = _pattern(tuple(words))
    if pattern is None:
        return ""
    found = [match for form in plain_forms(text) if (match := pattern.search(form))]
    return " ".join(found[0].group().split()) if found else ""
