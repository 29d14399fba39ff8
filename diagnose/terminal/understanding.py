"""What somebody meant by what they typed: an answer, a reading, or one of the words that always work.

Cold fingers and a small keyboard: a number, the first letters or the words will do, in any case and with any
hyphens. A danger question is different: there only the whole word counts, so that no slip of a finger answers
it. Nothing here prints or asks.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.walking.views import Choice

Command = Literal["not sure", "could not", "back", "why", "help", "leave off", "danger"]

COMMANDS: dict[str, Command] = {
    "not sure": "not sure",
    "unsure": "not sure",
    "dont know": "not sure",
    "do not know": "not sure",
    "could not": "could not",
    "couldnt": "could not",
    "cannot": "could not",
    "back": "back",
    "undo": "back",
    "why": "why",
    "help": "help",
    "leave off": "leave off",
    "leave": "leave off",
    "stop for now": "leave off",
    "quit": "leave off",
    "exit": "leave off",
    "danger": "danger",
}
"""What can be typed at every question -> what it means."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """One of the answers was meant."""

    choice: Choice


@dataclass(frozen=True, slots=True)
class Ordered:
    """One of the words that always work was meant; `times` is how many answers `back` takes back."""

    command: Command
    times: int = 1


@dataclass(frozen=True, slots=True)
class Unclear:
    """Nothing fits, or several answers do (`between`)."""

    between: tuple[Choice, ...] = ()


Meaning = Chosen | Ordered | Unclear


def plain_words(text: str) -> str:
    """The text in small letters, its words with one space between, hyphens and punctuation left out.

    >>> plain_words("  Don't-KNOW. ")
    'dont know'
    """
    return " ".join(
        re.findall(r"\w+", text.casefold().replace("'", "").replace("\u2019", "").replace("_", " "))
    )


def word_to_type(choice: Choice, choices: Sequence[Choice]) -> str:
    """The word that stands for an answer at a danger question, short enough to be typed on a phone.

    Its id where that is one word, else the first word of its text where no other answer starts with it.
    """
    if "-" not in choice.id:
        return choice.id
    first = plain_words(choice.says).split()[:1]
    others = [plain_words(other.says).split()[:1] for other in choices if other is not choice]
    if first and first not in others and first[0] not in COMMANDS:
        return first[0]
    return choice.id.replace("-", " ")


def command_of(typed: str) -> Ordered | None:
    """The word that always works, if it was typed whole; `back 3` goes back three answers."""
    words = plain_words(typed)
    backwards = re.fullmatch(r"(?:back|undo) (\d{1,3})", words)
    if backwards and int(backwards[1]) > 0:
        return Ordered("back", int(backwards[1]))
    if typed.strip() == "?":
        return Ordered("help")
    command = COMMANDS.get(words)
    return Ordered(command) if command else None


def meaning(typed: str, choices: Sequence[Choice], *, whole: bool = False, numbered: bool = True) -> Meaning:
    """What was meant by a line typed at a question with these answers.

    With `whole` only the whole word or the whole text of an answer counts, and *yes* or *no* where one answer
    alone begins with it. Without `numbered` a number picks no answer (it is a reading there).
    """
    words = plain_words(typed)
    exact = [choice for choice in choices if words and words in _names(choice, choices)]
    if len(exact) == 1:
        return Chosen(exact[0])
    command = command_of(typed)
    if command:
        return command
    if whole:
        return _yes_or_no(words, choices)
    if not words:
        return Unclear()
    if numbered and re.fullmatch(r"[0-9]{1,3}", words):
        place = int(words)
        return Chosen(choices[place - 1]) if 1 <= place <= len(choices) else Unclear()
    return _by_first_letters(words, choices)


def _yes_or_no(words: str, choices: Sequence[Choice]) -> Meaning:
    """What *yes* or *no* means at a danger question: the one answer whose text begins so; of two, neither."""
    if words not in ("yes", "no"):
        return Unclear()
    fitting = tuple(choice for choice in choices if plain_words(choice.says).split()[:1] == [words])
    return Chosen(fitting[0]) if len(fitting) == 1 else Unclear(fitting)


def _by_first_letters(words: str, choices: Sequence[Choice]) -> Meaning:
    fitting = tuple(
        choice for choice in choices if any(name.startswith(words) for name in _names(choice, choices))
    )
    if len(fitting) == 1:
        return Chosen(fitting[0])
    if fitting:
        return Unclear(fitting)
    if len(words) >= 3:
        commands = {command for word, command in COMMANDS.items() if word.startswith(words)}
        if len(commands) == 1:
            return Ordered(commands.pop())
    return Unclear()


def _names(choice: Choice, choices: Sequence[Choice]) -> set[str]:
    """Everything that an answer can be called, as plain words."""
    names = {plain_words(choice.id), plain_words(choice.says), plain_words(word_to_type(choice, choices))}
    return names - {""}
