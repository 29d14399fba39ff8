"""What single cells of a sheet of causes hold: numbers, ids, answers, remedies and expectations."""

from __future__ import annotations

import re
from collections.abc import Mapping

from diagnose.knowledge.ids import as_id, quoted
from diagnose.knowledge.nodes import Scalar
from diagnose.revising.rendering import Value

FORMULA = "="
USUAL_WEIGHT = "probable"
"""What an answer alone means: the word for 0.85."""
_TWO_WAYS = re.compile(r"-?\d{1,3},\d{3}")
_COMMA = re.compile(r"-?\d+,\d+")
_REMEDY = re.compile(r"(refer|see)\s*:\s*(\S+)")
_EXPECTED = re.compile(r"([a-z0-9-]+)\s*[:=]?\s*(.*)")


def number_of(text: str) -> tuple[float, str]:
    """The number, a comma being a decimal mark; or 1 and what is wrong, as the rest of a sentence.

    >>> number_of("2,5"), number_of("1,000")[1]
    ((2.5, ''), ', which can be read in two ways; write it without a comma')
    """
    if _TWO_WAYS.fullmatch(text):
        return 1.0, ", which can be read in two ways; write it without a comma"
    number = Scalar(text.replace(",", ".") if _COMMA.fullmatch(text) else text, 1, 1).number
    return (1.0, "; it wants a number") if number is None else (number, "")


def ids_of(text: str) -> tuple[str, ...]:
    """Words between commas, semicolons or blanks."""
    return tuple(word for word in re.split(r"[,;\s]+", text) if word)


def remedy_of(text: str) -> Mapping[str, Value]:
    """`refer: ID` and `see: ID` as such; any other text is what has to be done.

    >>> remedy_of("refer: workshop"), remedy_of("Close the lock")
    ({'refer': 'workshop'}, {'do': 'Close the lock'})
    """
    found = _REMEDY.fullmatch(text)
    if found:
        return {found[1]: found[2]}
    return {"do": text} if text else {}


def answers_of(text: str) -> tuple[dict[str, Value], str]:
    """Answers between semicolons, each `id: words`, or words from which an id is made; and what is wrong.

    >>> answers_of("shut: It is shut; It stands open")
    ({'shut': 'It is shut', 'it-stands-open': 'It stands open'}, '')
    """
    answers: dict[str, Value] = {}
    for item in filter(None, (part.strip() for part in text.split(";"))):
        before, colon, after = item.partition(":")
        id, words = (before.strip(), after.strip()) if colon else (as_id(item), item)
        if not id:
            return answers, f"no id can be made of {quoted(item)}; write id: words"
        if id in answers:
            return answers, f"the answer {quoted(id)} stands twice"
        answers[id] = words
    return answers, ""


def expectation_of(text: str) -> tuple[dict[str, Value], str]:
    """An answer, or several between semicolons, each with how likely it is; and what is wrong.

    >>> expectation_of("shut"), expectation_of("shut: 0.9; open 0,1")
    (({'shut': 'probable'}, ''), ({'shut': 0.9, 'open': 0.1}, ''))
    """
    weights: dict[str, Value] = {}
    for item in filter(None, (part.strip() for part in text.split(";"))):
        found = _EXPECTED.fullmatch(item)
        if found is None:
            return weights, f"{quoted(item)} is no answer; write an answer's id, and how likely it is"
        if found[1] in weights:
            return weights, f"the answer {quoted(found[1])} stands twice"
        number, wrong = number_of(found[2])
        weights[found[1]] = (found[2] or USUAL_WEIGHT) if wrong else number
    return weights, ""
