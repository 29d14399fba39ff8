"""From the few words of somebody who knows what it was to the cause, in whichever tree it stands.

"Spider in flue" has a word of the cause itself and one of how it is kept from happening. So a word counts in
full where it is among the words of the cause, for less where it is said around it (what is done about it, how
it is prevented, the events above it), and for less again where it is only of the symptom, which tells two
trees with the same cause apart. Nothing is taken for granted: the best few are there to be chosen from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from diagnose.knowledge.naming import says_of
from diagnose.knowledge.stems import stems, there, weight, weights_of
from diagnose.terms import Event, Tree

GOOD = 0.42
"""From this likeness on a cause may be meant."""
BEHIND = 0.3
"""How far behind the best one a cause may be and still be offered."""
MOST = 8
"""With *none of these* that is a digit each."""

_IN_FULL, _AROUND, _OF_SYMPTOM = 1.0, 0.75, 0.55
_SAID_OTHERWISE = 0.9
_ALSO_SAID = {
    "airlock": "air lock",
    "bottle": "cylinder",
    "busted": "broken failed",
    "choked": "blocked",
    "clogged": "blocked",
    "cooked": "failed overheated",
    "dead": "flat failed",
    "drip": "leak",
    "duff": "failed worn",
    "flat": "low",
    "frozen": "frost ice iced",
    "furred": "scale corroded",
    "gone": "failed worn blown",
    "iced": "frozen ice",
    "insect": "web nest",
    "knackered": "worn flat",
    "knob": "tap",
    "limescale": "scale",
    "microswitch": "switch",
    "mildew": "damp",
    "mould": "damp",
    "neglected": "old",
    "petrol": "fuel",
    "perished": "torn cracked hard",
    "rat": "mice",
    "rodent": "mice",
    "rusted": "rust stuck",
    "rusty": "rust rusted",
    "seized": "stuck rusted",
    "shot": "worn failed",
    "spider": "web",
    "squirrel": "mice",
    "stuck": "seized jammed",
    "terminal": "clamp",
    "thermocouple": "feeler guard",
    "tube": "hose",
    "wasp": "nest",
    "wiring": "wire wires cable",
}
"""Words of the workshop -> what the trees say for them; for searching alone."""


@dataclass(frozen=True, slots=True)
class CauseMatch:
    """A cause of a symptom, and how like it the words are, from 0 to 1."""

    symptom: str
    """The tree's id."""
    symptom_says: str
    cause: str
    """The cut set's id."""
    says: str
    likeness: float
    exact: bool = False
    """Whether its very id was typed."""


@dataclass(frozen=True, slots=True)
class _Words:
    """The stems of what is said of one cause."""

    own: frozenset[str]
    around: frozenset[str]
    of_symptom: frozenset[str]


def search_causes(words: str, trees: Sequence[Tree]) -> tuple[CauseMatch, ...]:
    """The causes that these words may mean, the likeliest first, at most `MOST`; none where nothing fits.

    An id, exactly typed, gives every cause of that id and no other.
    """
    all_of_them = [(tree, "+".join(causes)) for tree in trees for causes in tree.cut_sets]
    typed = words.strip().casefold()
    exact = [_match(tree, cause, 1.0, exact=True) for tree, cause in all_of_them if cause == typed]
    if exact:
        return tuple(exact[:MOST])
    asked = stems(words)
    said = [_words(tree, cause) for tree, cause in all_of_them]
    weights = weights_of(tuple((" ".join(sorted(each.own | each.around)),) for each in said))
    known = frozenset[str]().union(*(each.own | each.around | each.of_symptom for each in said))
    otherwise = _said_otherwise()
    alike = {stem: _alike(stem, known, otherwise.get(stem, frozenset())) for stem in asked}
    found = [
        _match(tree, cause, _likeness(words, says_of(tree, cause), each, alike, weights))
        for (tree, cause), each in zip(all_of_them, said, strict=True)
    ]
    found.sort(key=lambda match: (-match.likeness, match.symptom, match.cause))
    best = found[0].likeness if found else 0.0
    return tuple(match for match in found[:MOST] if match.likeness >= max(GOOD, best - BEHIND))


def _match(tree: Tree, cause: str, likeness: float, *, exact: bool = False) -> CauseMatch:
    return CauseMatch(tree.id, tree.symptom, cause, says_of(tree, cause), likeness, exact)


def _likeness(
    words: str,
    says: str,
    said: _Words,
    alike: Mapping[str, Mapping[str, float]],
    weights: dict[str, float],
) -> float:
    """How much of what was typed is said of the cause, how much of the cause was typed, and their shape."""
    from rapidfuzz import fuzz
    from rapidfuzz.utils import default_process

    total = sum(weight(stem, weights) for stem in alike)
    if not total:
        return 0.0
    found = sum(weight(stem, weights) * _best(near, said) for stem, near in alike.items())
    typed = {other for near in alike.values() for other in near}
    own = sum(weight(stem, weights) for stem in said.own)
    back = sum(weight(stem, weights) for stem in said.own & typed) / own if own else 0.0
    shape = fuzz.token_set_ratio(words, says, processor=default_process) / 100
    return 0.65 * found / total + 0.2 * back + 0.15 * shape


def _best(near: Mapping[str, float], said: _Words) -> float:
    """What one typed word counts for a cause: by where it stands, less where it is spelt otherwise."""
    fields = ((said.own, _IN_FULL), (said.around, _AROUND), (said.of_symptom, _OF_SYMPTOM))
    return max(
        (near[stem] * share for field, share in fields for stem in field & near.keys()),
        default=0.0,
    )


def _alike(stem: str, known: frozenset[str], otherwise: frozenset[str]) -> dict[str, float]:
    """The stems of all causes that a typed one may be, each with how like it is."""
    spelt = {other: like for other in known if (like := there(stem, frozenset((other,))))}
    return dict.fromkeys(otherwise & known, _SAID_OTHERWISE) | spelt


@lru_cache(maxsize=1)
def _said_otherwise() -> dict[str, frozenset[str]]:
    return {next(iter(stems(word))): stems(others) for word, others in _ALSO_SAID.items()}


@lru_cache(maxsize=2048)
def _of_texts(*texts: str) -> frozenset[str]:
    return frozenset[str]().union(*(stems(text) for text in texts))


def _words(tree: Tree, cause: str) -> _Words:
    events = [tree.events[id] for id in cause.split("+")]
    above = [tree.events[id].says for event in events for id in event.chain]
    own = _of_texts(*(event.says for event in events), *(event.id.replace("-", " ") for event in events))
    around = _of_texts(*above, *(text for event in events for text in _said_around(event)))
    return _Words(own, around, _of_texts(tree.symptom, *tree.also_said, tree.id.replace("-", " ")))


def _said_around(event: Event) -> tuple[str, ...]:
    remedy = event.remedy
    done = (remedy.text, remedy.how) if remedy is not None and remedy.kind == "do" else ()
    return (event.prevent, *done)
