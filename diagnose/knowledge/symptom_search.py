"""From ordinary words to the symptom that is meant.

What an owner types shares some words with a symptom or with one of the ways in which others have said it, yet
rarely all, and rarely spelt alike. So words are compared by their stems, and a likeness of the whole text
settles what is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from diagnose.knowledge.stems import overlap, stems, weights_of

GOOD = 0.52
"""From this likeness on a symptom is taken to be meant."""
CLEARLY = 0.12
"""How far the best must lead for it to be taken without asking."""


class HeadingLike(Protocol):
    """What is searched (`knowledge.collection.Heading`)."""

    @property
    def id(self) -> str:
        """The tree's id."""

    @property
    def symptom(self) -> str:
        """The symptom in words."""

    @property
    def also_said(self) -> Sequence[str]:
        """Other ways to say it."""


@dataclass(frozen=True, slots=True)
class Match:
    """A symptom and how like it the words are, from 0 to 1."""

    id: str
    symptom: str
    likeness: float


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found, the best first."""

    good: tuple[Match, ...]
    """Those that may be meant; empty if nothing fits."""
    nearest: tuple[Match, ...]
    """The three nearest, whether they fit or not."""

    @property
    def clear(self) -> Match | None:
        """The one symptom that is meant, where no other comes near."""
        if not self.good:
            return None
        second = self.good[1].likeness if len(self.good) > 1 else 0.0
        return self.good[0] if self.good[0].likeness - second >= CLEARLY else None


def search_symptoms(words: str, headings: Sequence[HeadingLike]) -> Search:
    """The symptoms that these words may mean. An id, exactly typed, is that symptom alone."""
    exact = [Match(h.id, h.symptom, 1.0) for h in headings if words.strip().casefold() == h.id]
    if exact:
        return Search(tuple(exact), tuple(exact))
    weights = weights_of(tuple((h.symptom, *h.also_said) for h in headings))
    matches = [Match(h.id, h.symptom, _likeness(words, h, weights)) for h in headings]
    matches.sort(key=lambda match: (-match.likeness, match.id))
    return Search(tuple(match for match in matches if match.likeness >= GOOD), tuple(matches[:3]))


def _likeness(words: str, heading: HeadingLike, weights: dict[str, float]) -> float:
    """How like the best of a heading's texts is, with a little for words that others of its texts have."""
    from rapidfuzz import fuzz
    from rapidfuzz.utils import default_process

    asked = stems(words)
    texts = [heading.symptom, *heading.also_said]
    everything = frozenset().union(*(stems(text) for text in texts))
    if not asked:
        return 0.0
    overall = overlap(asked, everything, weights)
    best = 0.0
    for text in texts:
        own = stems(text)
        there, back = overlap(asked, own, weights), overlap(own, asked, weights)
        shape = fuzz.token_sort_ratio(words, text, processor=default_process) / 100
        best = max(best, 0.45 * there + 0.2 * back + 0.2 * overall + 0.15 * shape)
    return best
