"""Words as they are compared in a search: by their stems, rare ones weighing more than common ones.

What every text has tells nothing, and what is rarely spelt alike must still be found.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import lru_cache
from math import log


def overlap(asked: frozenset[str], own: frozenset[str], weights: dict[str, float]) -> float:
    """The weight of the words asked that are there (misspelt ones for a part), over the weight of all."""
    total = sum(weight(stem, weights) for stem in asked)
    found = sum(weight(stem, weights) * there(stem, own) for stem in asked)
    return found / total if total else 0.0


def there(stem: str, own: frozenset[str]) -> float:
    """Whether a stem is among others: 1, less for one that is spelt much like it, or 0."""
    if stem in own:
        return 1.0
    if len(stem) < 4:
        return 0.0
    from rapidfuzz.distance import OSA

    near = max((OSA.normalized_similarity(stem, other) for other in own if len(other) >= 4), default=0.0)
    return near if near >= 0.75 else 0.0


@lru_cache(maxsize=4)
def weights_of(texts: tuple[tuple[str, ...], ...]) -> dict[str, float]:
    """Stem -> weight: the logarithm of how few of the things searched, with their texts, have it.

    (Spärck Jones 1972.)
    """
    having = [frozenset().union(*(stems(text) for text in own)) for own in texts]
    known = Counter(stem for own in having for stem in own)
    return {stem: 0.2 + log((1 + len(having)) / number) for stem, number in known.items()}


def weight(stem: str, weights: dict[str, float]) -> float:
    """A stem's weight. One that nothing has weighs as a rare one: it tells that something else is meant."""
    return weights[stem] if stem in weights else max(weights.values(), default=1.0)


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
def stems(text: str) -> frozenset[str]:
    """The stems of a text's words, those of no weight left out and those of one meaning made one."""
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
