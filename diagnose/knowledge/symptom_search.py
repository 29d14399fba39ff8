"""From ordinary words to the symptom that is meant.

What an owner types shares some words with a symptom or with one of the ways in which others have said it, yet
rarely all, and rarely spelt alike. So words are compared by their stems, rare ones weighing more (what every
heading has tells nothing), and a likeness of the whole text settles what is left.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log
from typing import Protocol

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
    weights = _weights(headings)
    matches = [Match(h.id, h.symptom, _likeness(words, h, weights)) for h in headings]
    matches.sort(key=lambda match: (-match.likeness, match.id))
    return Search(tuple(match for match in matches if match.likeness >= GOOD), tuple(matches[:3]))


def _likeness(words: str, heading: HeadingLike, weights: dict[str, float]) -> float:
    """How like the best of a heading's texts is, with a little for words that others of its texts have."""
    from rapidfuzz import fuzz
    from rapidfuzz.utils import default_process

    asked = _stems(words)
    texts = [heading.symptom, *heading.also_said]
    everything = frozenset().union(*(_stems(text) for text in texts))
    if not asked:
        return 0.0
    overall = _overlap(asked, everything, weights)
    best = 0.0
    for text in texts:
        own = _stems(text)
        there, back = _overlap(asked, own, weights), _overlap(own, asked, weights)
        shape = fuzz.token_sort_ratio(words, text, processor=default_process) / 100
        best = max(best, 0.45 * there + 0.2 * back + 0.2 * overall + 0.15 * shape)
    return best


def _overlap(asked: frozenset[str], own: frozenset[str], weights: dict[str, float]) -> float:
    """The weight of the words asked that are there (misspelt ones for a part), over the weight of all."""
    total = sum(_weight(stem, weights) for stem in asked)
    found = sum(_weight(stem, weights) * _there(stem, own) for stem in asked)
    return found / total if total else 0.0


def _there(stem: str, own: frozenset[str]) -> float:
    if stem in own:
        return 1.0
    if len(stem) < 4:
        return 0.0
    from rapidfuzz.distance import OSA

    near = max((OSA.normalized_similarity(stem, other) for other in own if len(other) >= 4), default=0.0)
    return near if near >= 0.75 else 0.0


def _weights(headings: Sequence[HeadingLike]) -> dict[str, float]:
    """Stem -> weight: the logarithm of how few headings have it (Spärck Jones 1972)."""
    return _weights_of(tuple((h.symptom, *h.also_said) for h in headings))


@lru_cache(maxsize=4)
def _weights_of(texts: tuple[tuple[str, ...], ...]) -> dict[str, float]:
    having = [frozenset().union(*(_stems(text) for text in own)) for own in texts]
    stems = frozenset().union(*having) if having else frozenset()
    return {stem: 0.2 + log((1 + len(having)) / sum(stem in own for own in having)) for stem in stems}


def _weight(stem: str, weights: dict[str, float]) -> float:
    """A word that no heading has weighs as a rare one: it tells that something else is meant."""
    return weights.get(stem, max(weights.values(), default=1.0))


_OF_NO_WEIGHT = (
    "a an the is are was were be been it its i my me we our you your in on of at to from with for and or but "
    "when while that this there here has have had do does did if so just very really some any then as by "
    "after into help please problem caravan motorhome campervan van camper vehicle"
)
_DULL = frozenset(_OF_NO_WEIGHT.split())
_SAME = {
    "wont": "not",
    "dont": "not",
    "doesnt": "not",
    "cant": "not",
    "cannot": "not",
    "isnt": "not",
    "no": "not",
    "nothing": "not",
    "never": "not",
    "refuses": "not",
    "motor": "engine",
    "cranks": "crank",
    "stove": "hob",
    "cooker": "hob",
    "ring": "hob",
    "burner": "hob",
    "soaked": "wet",
    "soaking": "wet",
    "damp": "wet",
    "soggy": "wet",
    "drenched": "wet",
    "moist": "wet",
    "mattress": "bed",
    "bedding": "bed",
    "duvet": "bed",
    "faucet": "tap",
    "faucets": "tap",
    "rcd": "breaker",
    "electrics": "electric",
    "electricity": "electric",
    "ehu": "hookup",
    "furnace": "heater",
    "heating": "heater",
    "heat": "heater",
    "cold": "cold",
    "freezing": "cold",
    "skylight": "rooflight",
}
"""Words of one meaning, for searching alone."""


@lru_cache(maxsize=4096)
def _stems(text: str) -> frozenset[str]:
    plain = re.sub(r"['’‘`]", "", text.casefold())
    plain = plain.replace("hook-up", "hookup").replace("hook up", "hookup").replace("roof light", "rooflight")
    words = re.findall(r"\w+", plain)
    return frozenset(_stem(_SAME.get(word, word)) for word in words if word not in _DULL)


def _stem(word: str) -> str:
    """A word without its commonest endings; both sides are cut alike, so it need not be a word."""
    for ending in ("ings", "ing", "ed", "es", "s"):
        if word.endswith(ending) and len(word) - len(ending) >= 3 and not word.endswith("ss"):
            cut = word[: -len(ending)]
            return cut[:-1] if len(cut) > 3 and cut[-1] == cut[-2] and cut[-1] not in "sl" else cut
    return word
