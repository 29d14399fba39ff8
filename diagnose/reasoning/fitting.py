"""Whether the findings fit the tree at all, asked before anything is concluded from them.

Two questions that a ranking alone does not answer, since shares always sum to one:

- *Surprise*: how often would the tree lead one to see findings as unlikely as these? The prior predictive
  p-value (Box 1980). A small one says that the cause may not be in the tree.
- *Conflict*: do two findings speak against each other? log2(P(f) P(g) / P(f, g)) (Jensen, Chamond, Nordby &
  Nielsen 1990). A clearly positive one says that an answer may be mistaken, or that something rare is at
  work.

Findings that every cause leads one to see alike are left out of both: they cannot speak for or against any.
Nothing here depends on the order in which things were found, and remedies tried play no part.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import inf, log, prod

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.evidence import hidden_index, log_likelihood
from diagnose.reasoning.model import Model
from diagnose.reasoning.readings import log_band_weights
from diagnose.terms import NOT_LISTED, NOT_SURE, Check, Finding, Situation

Array = NDArray[np.float64]

SURPRISING = 0.01
"""Below this p-value the findings are said to fit no listed cause well."""
CONFLICTING = 2.0
"""Above this many bits (four times seldomer than by chance) two findings are said to go together seldom.

Chosen so that honest answers seldom bring a notice: see docs/arithmetic.md, *When the findings do not fit*.
"""

MOST_VECTORS = 20_000
"""Up to so many vectors of answers are all counted; beyond that they are drawn."""
DRAWS = 2000
SEED = 1980
_ALIKE = 1 + 1e-9
"""As likely as what was seen, rounding allowed for."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two findings that speak against each other, by the ids of their checks in the tree's order."""

    first: str
    second: str
    bits: float
    """log2 of how much seldomer they come together than they would by chance."""
    explained_by: str | None
    """The hypothesis that would leave no conflict if it were so: the listed one that explains most of it,
    else `not-listed`, else None."""


def surprise(model: Model, situation: Situation, most: int = MOST_VECTORS, draws: int = DRAWS) -> float:
    """The chance, under the tree, of findings no likelier than these over the same checks; 1 without any.

    A reading enters by its likeliest band. All vectors of answers are counted where there are at most `most`
    of them; else p = (1 + how many of `draws` seeded vectors are no likelier) / (1 + draws). Box, Journal of
    the Royal Statistical Society A, 1980.
    """
    found = _telling(model, situation)
    if not found:
        return 1.0
    tables = [model.rows[finding.check] for finding in found]
    seen = [_column(model.tree.checks[finding.check], finding) for finding in found]
    here = float(_chances(model, tables, np.array([seen]))[0]) * _ALIKE
    if prod(table.shape[1] for table in tables) <= most:
        every = _every_chance(model, tables)
        return min(1.0, float(every[every <= here].sum()))
    drawn = _chances(model, tables, _drawn_answers(model, tables, draws))
    return float(1 + (drawn <= here).sum()) / (1 + draws)


def conflict(model: Model, situation: Situation) -> float:
    """Bits by which all findings together speak against each other; nought or less if they agree."""
    found = _telling(model, situation)
    if len(found) < 2:
        return 0.0
    logs = _log_likelihoods(model, found)
    return _bits(float(_log_chance(model, logs).sum() - _log_chance(model, logs.sum(axis=0))))


def pairs(model: Model, situation: Situation) -> tuple[Pair, ...]:
    """Every two findings with their conflict, the greatest first; ties in the tree's order."""
    found = _telling(model, situation)
    if len(found) < 2:
        return ()
    logs = _log_likelihoods(model, found)
    alone = _log_chance(model, logs)
    measured = []
    for first, second in combinations(range(len(found)), 2):
        together = logs[first] + logs[second]
        bits = _bits(float(alone[first] + alone[second] - _log_chance(model, together)))
        measured.append(
            Pair(found[first].check, found[second].check, bits, _explained_by(model, together, bits))
        )
    return tuple(sorted(measured, key=lambda each: -each.bits))


@dataclass(frozen=True, slots=True)
class Doubts:
    """What speaks against concluding anything from some findings yet."""

    pairs: tuple[Pair, ...] = ()
    """Pairs in clear conflict, the greatest first."""
    surprising: bool = False
    """Whether the findings as a whole fit no listed cause well."""


def doubts(model: Model, situation: Situation) -> Doubts:
    """The doubts that are worth saying."""
    clear = tuple(pair for pair in pairs(model, situation) if pair.bits > CONFLICTING)
    return Doubts(clear, surprise(model, situation) < SURPRISING)


def _telling(model: Model, situation: Situation) -> list[Finding]:
    """Findings that are sure and that causes differ in, in the tree's order."""
    return [
        situation.findings[id]
        for id, table in model.rows.items()
        if id in situation.findings
        and situation.findings[id].answer != NOT_SURE
        and not np.allclose(table, table[0], rtol=0, atol=1e-12)
    ]


def _column(check: Check, finding: Finding) -> int:
    """The place of the answer; of a reading, that of the band in which the true value most likely lies."""
    named = check.answer_ids().index(str(finding.answer))
    if finding.value is None or check.reading is None:
        return named
    uncertainty = check.reading.uncertainty if finding.uncertainty is None else finding.uncertainty
    widths = np.log([band.high - band.low for band in check.bands])
    mass = log_band_weights(check.bands, finding.value, uncertainty) + widths
    # On a border two bands are alike; the one that holds the value is named everywhere else, too.
    return named if mass[named] >= mass.max() - 1e-9 else int(mass.argmax())


def _every_chance(model: Model, tables: list[Array]) -> Array:
    """P of every vector of answers."""
    joint = model.prior[None, :]
    for table in tables:
        joint = (joint[:, None, :] * table.T[None, :, :]).reshape(-1, len(model.ids))
    return np.asarray(joint.sum(axis=1))


def _chances(model: Model, tables: list[Array], vectors: NDArray[np.int64]) -> Array:
    """P of some vectors of answers (vectors by checks)."""
    joint = np.tile(model.prior, (len(vectors), 1))
    for k, table in enumerate(tables):
        joint *= table.T[vectors[:, k]]
    return np.asarray(joint.sum(axis=1))


def _drawn_answers(model: Model, tables: list[Array], draws: int) -> NDArray[np.int64]:
    """Seeded vectors of answers: a hypothesis by its share, then each answer by its row."""
    rng = np.random.default_rng(SEED)
    truth = rng.choice(len(model.ids), size=draws, p=model.prior)
    columns = []
    for table in tables:
        steps = table.cumsum(axis=1)[truth]
        columns.append((rng.random(draws)[:, None] * steps[:, -1:] > steps).sum(axis=1))
    return np.column_stack(columns).astype(np.int64)


def _log_likelihoods(model: Model, found: list[Finding]) -> Array:
    """ln P(finding | hypothesis) up to a constant, findings by hypotheses; a reading weighs its bands."""
    return np.array([log_likelihood(model, Situation({each.check: each})) for each in found])


def _log_chance(model: Model, logs: Array) -> Array:
    """ln of the mean of likelihoods over the prior (last axis), from their logs."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.logaddexp.reduce(np.log(model.prior) + logs, axis=-1))


def _bits(nats: float) -> float:
    return nats / log(2) if np.isfinite(nats) else inf


def _explained_by(model: Model, logs: Array, bits: float) -> str | None:
    """What lifts a conflict: taken as one more finding, it leaves conf - log2(P(h | f, g) / P(h)) <= 0."""
    gain = (logs - _log_chance(model, logs)) / log(2)
    hidden = hidden_index(model)
    lifting = [at for at in range(len(gain)) if at != hidden and gain[at] >= bits - 1e-9]
    if lifting:
        return model.ids[max(lifting, key=lambda at: float(gain[at]))]
    return NOT_LISTED if gain[hidden] >= bits - 1e-9 else None
