"""The hand-over sheet as values: what stands on it, part by part, in a language; no looks.

What was seen stands first, in the order in which it was found; what is merely likely stands beneath it. What
was left alone is told, too, so that nobody takes a thing for checked that was not. Findings are ids and
values, so a sheet is made anew in any language; a text that is not translated is the English one, marked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.knowledge.languages import Text


@dataclass(frozen=True, slots=True)
class Labelled:
    """A line of the heading: what it is about, and what is so."""

    about: str
    says: Text


@dataclass(frozen=True, slots=True)
class OfCard:
    """A date or figure from the vehicle's card, as somebody once wrote it there."""

    about: Text
    says: Text
    over: bool = False
    """Whether it is past its day."""


@dataclass(frozen=True, slots=True)
class HandedTo:
    """Somebody qualified: what they are told, and what is done until they come."""

    to: Text
    say: Text
    until_help: Text
    register: str = ""
    """Where gas engineers are registered; of others nothing."""


@dataclass(frozen=True, slots=True)
class Found:
    """A check or fact with what was found."""

    time: str
    """Hours and minutes in UTC, with the day where it is another than the case's; "" where nobody walked."""
    asked: Text
    said: Text
    """The answer in words, or the reading with its standard uncertainty and unit."""
    fact: bool = False
    """Whether it is about the vehicle, whatever ails it."""
    kind: str = "answer"
    """`answer`, `reading` or `not-sure`."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A remedy, and what became of it."""

    do: tuple[Text, ...]
    became: str


@dataclass(frozen=True, slots=True)
class Untouched:
    """A cause that nobody touched, and why."""

    says: Text
    why: Text


@dataclass(frozen=True, slots=True)
class Likely:
    """A cause with its share and between which shares that may lie, as they are written."""

    says: Text
    share: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class Cautioned:
    """A caution that was shown, with its signal word in the sheet's language."""

    word: str
    say: Text
    danger: bool = False
    """Whether the word is the gravest."""


@dataclass(frozen=True, slots=True)
class NumberedOutcome:
    """What it can turn out to be, under its number."""

    number: int
    says: Text


@dataclass(frozen=True, slots=True)
class AnswerBack:
    """How the engineer's answer comes back: the code, how it is read out, the numbers, the command."""

    code: str
    aloud: str
    outcomes: tuple[NumberedOutcome, ...]
    command: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that stands on a sheet, in the order in which it stands there; what is empty is left out."""

    language: str
    case: int
    heading: tuple[Labelled, ...]
    stopped: bool = False
    review: tuple[str, ...] = ()
    """That the translation is not reviewed, or by whom it was."""
    notices: tuple[str, ...] = ()
    """What has to be known of the tree behind it: that nobody checked it, or that it has changed."""
    because: tuple[tuple[Text, ...], ...] = ()
    """What stopped the walk: each a question with its answer, or one sentence."""
    handed_to: tuple[HandedTo, ...] = ()
    card: tuple[OfCard, ...] = ()
    """What is past its day first."""
    found: tuple[Found, ...] = ()
    starts: str = ""
    """How often it was started in this case, as a sentence; nothing where starts are not counted."""
    tried: tuple[Tried, ...] = ()
    untouched: tuple[Untouched, ...] = ()
    likely: tuple[Likely, ...] = ()
    missing: str = ""
    """Of how many past cases behind the likeliest causes the outcome is not known."""
    cautions: tuple[Cautioned, ...] = ()
    answer_back: AnswerBack | None = None
    no_code: str = ""
    """Said in its place where there is none."""
    findings_code: str = ""
    """What the square code holds: the case's code and the exact readings."""

    @property
    def timed(self) -> bool:
        """Whether it is known when each thing was found."""
        return any(each.time for each in self.found)

    @property
    def facts(self) -> tuple[Found, ...]:
        """What is known of the vehicle, whatever ails it."""
        return tuple(each for each in self.found if each.fact)

    @property
    def seen(self) -> tuple[Found, ...]:
        """What was found besides that, in order."""
        return tuple(each for each in self.found if not each.fact)


def joined(texts: Sequence[Text], between: str) -> Text:
    """Several texts as one; English as soon as one of them is."""
    return Text(between.join(text.words for text in texts), any(text.original for text in texts))
