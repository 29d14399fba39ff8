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
_HYPHEN = re.compile(r"[-\u2010-\u2015\u2212_]+\s*(?=\w)")
_JOINT = re.compile(r"(?<=\w)(?:[^\w\s]|_)+(?=\w)")
_MARK = re.compile(r"[^\w\s]|_")
# Letters of other alphabets that pass for Latin ones, so that a word cannot hide behind one of them.
_LOOK_ALIKES = str.maketrans("авеосрухіјѕԁһԛԝкмнтαεικονρτυχ", "abeocpyxijsdhqwkmhtaeikovptux")


@lru_cache(maxsize=1024)
def plain_forms(text: str) -> tuple[str, ...]:
    """The text in plain small letters: joining marks as spaces, hyphens taken out, all of them taken out.

    >>> plain_forms("Re-wire it/un-screw")
    ('re wire it un screw', 'rewire it unscrew', 'rewire itunscrew')
    """
    if text.isascii():
        return _forms(text.casefold())
    letters = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    kept = "".join(letter for letter in letters if unicodedata.category(letter) not in ("Mn", "Me", "Cf"))
    return _forms(kept.translate(_LOOK_ALIKES))


def _forms(kept: str) -> tuple[str, ...]:
    no_hyphens, no_joints = _HYPHEN.sub("", kept), _JOINT.sub("", kept)
    return tuple(dict.fromkeys(_MARK.sub(" ", form) for form in (kept, no_hyphens, no_joints)))


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
