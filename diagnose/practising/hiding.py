"""Which fault is hidden: by share, by how hard it is to find, or by what a learner has missed before.

*By share* is what a workshop meets: each fault as often as the tree says. *By difficulty* takes the third of
the faults that is easiest, middling or hardest, and draws by share among those. How hard a fault is counts as
its expected minutes along the best route, once more for as often as the first two answers speak against it.
*By what was missed* takes, three times in four, one of the faults that the learner has missed, the likelier
the more often; else, and where none was missed, any by share.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.practising.chance import Chance
from diagnose.reasoning.model import Model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.route import Route
from diagnose.terms import NOT_SURE

Array = NDArray[np.float64]
Level = Literal["easy", "middling", "hard"]
LEVELS: tuple[Level, ...] = ("easy", "middling", "hard")

FIRST_ANSWERS = 2
"""So many answers behind the danger questions count as the first."""
OF_WHAT_WAS_MISSED = 0.75


@dataclass(frozen=True, slots=True)
class Record:
    """How often a learner met one fault, and how often it was missed."""

    met: int = 0
    missed: int = 0


def fault_by_share(model: Model, seed: int) -> int:
    """The hidden fault's place in the model's order, each as likely as its share."""
    return Chance(seed, "fault").among(model.prior.tolist())


def fault_by_difficulty(model: Model, route: Route, seed: int, level: Level) -> int:
    """One of the easiest, middling or hardest third of the faults, by share among those."""
    harder = difficulty(model, route).argsort(kind="stable").tolist()
    third = len(harder) / 3
    place = LEVELS.index(level)
    chosen = set(harder[round(place * third) : round((place + 1) * third)])
    weights = [share if at in chosen else 0.0 for at, share in enumerate(model.prior.tolist())]
    return Chance(seed, f"fault {level}").among(weights)


def fault_by_misses(model: Model, seed: int, earlier: Mapping[str, Record]) -> int:
    """A fault that was missed before, three times in four; else any by share.

    Among those missed the weight is (missed + 1/2) / (met + 1), the rate with Jeffreys' half a case added.
    """
    chance = Chance(seed, "fault missed")
    missed = [rate_of_misses(earlier.get(id, Record())) for id in model.ids]
    if not any(missed) or chance.part() >= OF_WHAT_WAS_MISSED:
        return chance.among(model.prior.tolist())
    return chance.among(missed)


def rate_of_misses(record: Record) -> float:
    """How likely a fault that was missed before is missed again; nought for one that never was.

    >>> rate_of_misses(Record(met=3, missed=1)), rate_of_misses(Record(met=3))
    (0.375, 0.0)
    """
    return (record.missed + 0.5) / (record.met + 1) if record.missed else 0.0


def difficulty(model: Model, route: Route) -> Array:
    """For each hypothesis: expected minutes along the route, times one plus how often one is misled first."""
    return np.asarray(cost_by_cause(route, model) * (1 + misled(model, route)))


def misled(model: Model, route: Route) -> Array:
    """For each hypothesis, how often the route's first two answers make it less likely than it was."""
    prior = model.prior
    total = np.zeros(len(prior))
    waiting: list[tuple[int, Array, Array, int]] = [
        (route.start, np.ones(len(prior)), np.ones(len(prior)), 0)
    ]
    while waiting:
        at, said, comes_by, asked = waiting.pop()
        node = route.nodes[at]
        if node.kind != "check" or asked == FIRST_ANSWERS:
            total += comes_by * (_share(prior, said) < prior * (1 - 1e-12))
            continue
        table = model.checks[model.check_index[node.of]]
        unsure = table.check.not_sure
        chances = [(answer, row) for answer, row in zip(table.check.answer_ids(), table.rows.T, strict=True)]
        for answer, row in (*chances, (NOT_SURE, np.ones(len(prior)))):
            how_often = unsure if answer == NOT_SURE else 1 - unsure
            onward = node.edges[answer].to
            if how_often > 0 and route.nodes[onward].kind != "stop":
                waiting.append((onward, said * row, comes_by * how_often * row, asked + (not table.first)))
    return total


def _share(prior: Array, said: Array) -> Array:
    joint = prior * said
    return np.asarray(joint / max(joint.sum(), 1e-300))


def place_of(ids: Sequence[str], word: str) -> int | None:
    """The place of a fault that a trainer names, None if there is none of that id."""
    return ids.index(word) if word in ids else None
