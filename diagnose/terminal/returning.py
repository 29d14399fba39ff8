"""What came back of the cases that a ranking rests on, in plain sentences.

A cure reports itself, and what was handed on is often never heard of again. Who reads a ranking is told how
much of each is known, and what a case therefore counts.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.languages import Language
from diagnose.reasoning.learning import Return
from diagnose.terms import Ranked
from diagnose.walking.sheet_making import ENGLISH

WORDS = {"referred": "handed on", "stopped": "stopped for danger", "cured": "cured"}
"""Ending -> how it is said, in the order in which they are told."""
_MISSING = {
    "referred": "{unknown} of {ended} handed on",
    "stopped": "{unknown} of {ended} stopped for danger",
    "cured": "{unknown} of {ended} cured",
}
"""Ending -> how many of its outcomes nobody has told, in the same order."""
ALIKE = 1.05
"""Below so many times another's weight, nothing is said of weights."""


def ranked_from(total: float, returns: Sequence[Return]) -> str:
    """How many confirmed cases a ranking is from, and what is unknown; nothing where there are none.

    Counts that have decayed are no whole numbers; they are said as "about".

    >>> some = [Return("cured", 8, 8, 0.5), Return("referred", 9, 4, 1.0), Return("stopped", 2, 0, 0.0)]
    >>> ranked_from(12, some)
    'Ranked from 12 confirmed cases. Of 9 that were handed on, 4 have told what it was, so each of those \
counts 2 times as much as one that was cured. Of 2 that were stopped for danger nothing is known.'
    """
    if total <= 0:
        return ""
    told = {each.ending: each for each in returns if each.ending in WORDS}
    weighed = [each for each in told.values() if each.weight > 0]
    lightest = min(weighed, key=lambda each: each.weight, default=None)
    sentences = [f"Ranked from {_count(total)} confirmed {'case' if _count(total) == '1' else 'cases'}."]
    for ending in WORDS:
        if ending in told and (known := what_came_back(ending, told[ending].ended, told[ending].confirmed)):
            sentences.append(f"{known}{_weight(told[ending], lightest)}.")
    return " ".join(sentences)


def what_came_back(ending: str, ended: float, confirmed: float) -> str:
    """How many of those that ended so told what it was, without a full stop; nothing where all did.

    >>> what_came_back("referred", 1, 0), what_came_back("referred", 3, 1), what_came_back("cured", 2, 2)
    ('Of the one that was handed on nothing is known', 'Of 3 that were handed on, 1 has told what it was', '')
    """
    if ended - confirmed < 0.5:
        return ""
    number = _count(ended)
    those = f"Of the one that was {WORDS[ending]}"
    if number != "1":
        those = f"Of {number} that were {WORDS[ending]}"
    if confirmed <= 0:
        return f"{those} nothing is known"
    came = _count(confirmed)
    return f"{those}, {came} {'has' if came == '1' else 'have'} told what it was"


def rests_on_cases(ranking: Sequence[Ranked]) -> bool:
    """Whether a ranking rests on confirmed cases, and not on our judgement alone."""
    return any(ranked.cases > 0 for ranked in ranking)


def still_missing(returns: Sequence[Return], language: Language = ENGLISH) -> str:
    """How many outcomes nobody has told yet, in one line; nothing where all are known.

    >>> still_missing([Return("stopped", 2, 0, 0.0), Return("referred", 9, 4, 1.0)])
    'Not told yet what it was: 5 of 9 handed on, 2 of 2 stopped for danger.'
    """
    told = {each.ending: each for each in returns}
    parts = [
        language.phrase(
            words,
            unknown=_count(told[ending].unknown, language),
            ended=_count(told[ending].ended, language),
        )
        for ending, words in _MISSING.items()
        if ending in told and told[ending].unknown >= 0.5
    ]
    return language.phrase("Not told yet what it was: {missing}.", missing=", ".join(parts)) if parts else ""


def _weight(each: Return, lightest: Return | None) -> str:
    if lightest is None or each.weight < lightest.weight * ALIKE:
        return ""
    times = f"{each.weight / lightest.weight:.2f}".rstrip("0").rstrip(".")
    those = "that one" if _count(each.confirmed) == "1" else "each of those"
    return f", so {those} counts {times} times as much as one that was {WORDS[lightest.ending]}"


def _count(number: float, language: Language = ENGLISH) -> str:
    """A count of cases.

    >>> _count(4.0), _count(3.7), _count(0.2)
    ('4', 'about 4', 'less than 1')
    """
    if number < 0.5:
        return language.phrase("less than 1")
    if float(number).is_integer():
        return f"{round(number)}"
    return language.phrase("about {count}", count=round(number))
