"""How hard a text is to read: the grade of Kincaid, Fishburne, Rogers & Chissom (1975, from memory)."""

from __future__ import annotations

import re

GRADE = 8.0
"""Texts for an owner are to be read at this grade at most: whoever reads them may be cold and worried."""
FEW_WORDS = 4
"""Below so many words the formula says nothing of how hard a text is: "Butane" alone has grade 8.4."""

_END = re.compile(r"(?<=[.!?:;])\s+")
_WORD = re.compile(r"[A-Za-z'’-]+")


def grade(text: str) -> float:
    """0.39 words a sentence + 11.8 syllables a word - 15.59: the years of school that a text asks for.

    Colons and semicolons end a sentence, as they do for a reader; figures and signs are no words. A text
    without any word has grade nought. Syllables are counted by the `readability` library, which takes 20 ms
    to load and some tenths of a millisecond for a text. It hears none in "the" nor in a capital vowel, so
    that grades come out a little low: what is told as hard is hard.
    """
    sentences = [" ".join(_WORD.findall(each)) for each in _END.split(text.strip())]
    told = [f"{each} ." for each in sentences if each]
    if not told:
        return 0.0
    import readability

    return float(readability.getmeasures(told, lang="en")["readability grades"]["Kincaid"])


def is_hard(text: str) -> bool:
    """Whether an owner is not to be shown this text.

    >>> is_hard("Shut the tap. Wash both hands in warm water.")
    False
    >>> is_hard("Subsequently depressurise the accumulator installation.")
    True
    """
    return len(text.split()) >= FEW_WORDS and grade(text) > GRADE
