"""How much each cause matters to a symptom, where gates make that differ from its own chance.

For causes that come independently of each other, each with its chance, and the minimal cut sets of the
symptom (T is the symptom):

    Birnbaum 1969          P(T | the cause is there) - P(T | it is not)
    Fussell & Vesely 1975  P(some cut set that holds the cause is whole) / P(T)

The second is at times defined as (P(T) - P(T | it is not)) / P(T) instead; that one is a little smaller where
cut sets can come together, and is not what is computed here. Both measures are exact: no sum of rare events.

In the program's own arithmetic just one cut set is present in a vehicle. Then the second measure is simply
the share of the cut sets that hold the cause.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod

from diagnose.terms import DiagnoseError

MOST_STATES = 200_000
"""Sets of cut sets that are worked through for one chance; beyond that it is given up."""


class TooEntangled(DiagnoseError):
    """Too many cut sets share causes for an exact chance."""


@dataclass(frozen=True, slots=True)
class Importance:
    """What one cause means for the symptom."""

    birnbaum: float
    fussell_vesely: float


def importance(
    cut_sets: Sequence[Sequence[str]], chances: Mapping[str, float]
) -> tuple[float, dict[str, Importance]]:
    """The chance of the symptom, and the importance of every cause in `chances`.

    Exponential at worst in the number of cut sets that share causes; raises TooEntangled.

    >>> top, of = importance([("a",), ("b", "c")], {"a": 0.1, "b": 0.5, "c": 0.5})
    >>> round(top, 4), round(of["b"].birnbaum, 4), round(of["b"].fussell_vesely, 4)
    (0.325, 0.45, 0.7692)
    """
    sets = [frozenset(each) for each in cut_sets]
    top = chance_of_any(sets, chances)
    measures = {}
    for cause in chances:
        there = chance_of_any(sets, {**chances, cause: 1.0})
        absent = chance_of_any(sets, {**chances, cause: 0.0})
        holding = chance_of_any([each for each in sets if cause in each], chances)
        measures[cause] = Importance(there - absent, holding / top if top > 0 else 0.0)
    return top, measures


def chance_of_any(cut_sets: Sequence[frozenset[str]], chances: Mapping[str, float]) -> float:
    """The chance that at least one of the cut sets is whole; raises TooEntangled.

    Shannon's expansion: by the cause that stands in most of the sets, once as there and once as not; the
    same rest is worked through only once.
    """
    known: dict[frozenset[frozenset[str]], float] = {}

    def chance(sets: frozenset[frozenset[str]]) -> float:
        if frozenset() in sets:
            return 1.0
        if sets not in known:
            if len(known) > MOST_STATES:
                raise TooEntangled("too many cut sets share causes for an exact chance")
            known[sets] = _expanded(sets)
        return known[sets]

    def _expanded(sets: frozenset[frozenset[str]]) -> float:
        if len(sets) < 2:
            return sum(prod(chances[cause] for cause in each) for each in sets)
        met: dict[str, int] = {}
        for each in sets:
            for cause in each:
                met[cause] = met.get(cause, 0) + 1
        pivot = min(met, key=lambda cause: (-met[cause], cause))
        there = frozenset(each - {pivot} for each in sets)
        absent = frozenset(each for each in sets if pivot not in each)
        return chances[pivot] * chance(there) + (1 - chances[pivot]) * chance(absent)

    return chance(frozenset(cut_sets))
