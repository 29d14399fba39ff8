"""An exercise done by a script: one choice a line, by number or id, and nothing on the screen meanwhile."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING

from diagnose.terms import DiagnoseError

if TYPE_CHECKING:
    from diagnose.practising.practice import Practice

NAME = "name "
LEAVE = "leave off"


def follow(practice: Practice, lines: Iterable[str], source: str) -> None:
    """Makes every choice of a script; empty lines and those that begin with # are passed over.

    `name CAUSE` says what the learner thinks it is, `leave off` ends the script. Raises DiagnoseError, which
    names the line, for what cannot be chosen.
    """
    for number, line in enumerate(lines, 1):
        words = line.strip()
        if not words or words.startswith("#"):
            continue
        if words.lower() == LEAVE:
            return
        try:
            _follow_one(practice, words)
        except DiagnoseError as error:
            raise DiagnoseError(f"{source}:{number}: {error}") from None


def _follow_one(practice: Practice, words: str) -> None:
    if words.lower().startswith(NAME):
        practice.named = _nearest(words[len(NAME) :].strip(), practice.exercise.model.ids, "cause here")
        return
    if practice.over:
        raise DiagnoseError(f'the exercise is over by then; after it only "{NAME}CAUSE" is understood')
    if words.isdecimal() and 0 < int(words) <= len(practice.choices):
        choice = practice.choices[int(words) - 1]
    else:
        id = _nearest(words, tuple(each.id for each in practice.choices), "choice here")
        choice = next(each for each in practice.choices if each.id == id)
    if choice not in practice.left():
        raise DiagnoseError(f'"{words}" was chosen before; nothing is done twice')
    practice.choose(choice)


def _nearest(word: str, known: tuple[str, ...], what: str) -> str:
    if word in known:
        return word
    meant = next(iter(get_close_matches(word, known, n=1)), "")
    raise DiagnoseError(f'"{word}" is no {what}' + (f' (did you mean "{meant}"?)' if meant else ""))
