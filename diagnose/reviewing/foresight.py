"""What was said of each past case before it was learned from, for very many cases: prequential (Dawid 1984).

`reasoning.foretelling` says the same with a model for each case, some milliseconds each. Here a few hundred
cases are taken at once: the sums before each of them are running totals, and every table is an array with one
line for each case. Nothing is left out or rounded for it, so the shares are those of a model made anew before
every case; a test holds the two beside each other.

    groups    cases by how they ended (and by year, where old ones count less): what has one weight
    sums      of confirmed cases: groups by hypotheses, and for each check groups by hypotheses by answers
    before    the sums before each case of a block: case by case on from those before the block

How the sums of groups are weighed, and how a branch lifts a row, is told in `reasoning.learning` and
`reasoning.expectations`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.evidence import normalised
from diagnose.reasoning.expectations import LIFT_EXPONENT
from diagnose.reasoning.learning import returns
from diagnose.reasoning.model import Model
from diagnose.terms import EndedCases, Tally

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

NOTHING = -1
"""No answer: not asked, or not sure."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Some cases of one tree in the order of their confirmation, as numbers; a line for each case."""

    truths: Ints
    """The index of what it turned out to be."""
    groups: Ints
    """The index of its group."""
    learned: Mapping[str, Ints]
    """Check -> the index of the answer that it counts under, or NOTHING."""
    said: Mapping[str, Ints]
    """Check -> the index of the answer that speaks for or against a cause, or NOTHING."""
    readings: Mapping[str, Mapping[int, Array]]
    """Check -> line -> ln of the weight of each band; such a line has NOTHING in `said`."""
    tried: Array
    """Cases by hypotheses: ln of what its remedies, tried in vain, leave of it."""
    fading: Array
    """Cases by groups: what a case of that group counts by its age at this case's confirmation."""
    over: Array
    """Cases by groups: how many cases were over by then, this one left out."""


@dataclass(frozen=True, slots=True, eq=False)
class Foreseen:
    """What the ranking said of each case of a block."""

    shares: Array
    """Cases by hypotheses, after the findings."""
    priors: Array
    """Cases by hypotheses, before the first of them."""


class Foresight:
    """One tree with the sums of the cases so far; `model` is that of the file, nothing learned."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self._strength = model.settings.expect_strength
        self._siblings = _siblings(model)
        self._means = {id: self._branch_means(rows) for id, rows in model.rows.items()}
        self._endings: list[str] = []
        """The ending of each group."""
        self._causes = np.zeros((0, len(model.ids)))
        self._answers = {id: np.zeros((0, *rows.shape)) for id, rows in model.rows.items()}

    def group(self, ending: str) -> int:
        """The index of a new group of cases that ended so."""
        self._endings.append(ending)
        self._causes = np.concatenate([self._causes, np.zeros((1, *self._causes.shape[1:]))])
        for id, sums in self._answers.items():
            self._answers[id] = np.concatenate([sums, np.zeros((1, *sums.shape[1:]))])
        return len(self._endings) - 1

    def add(
        self, group: int, causes: Mapping[int, float], answers: Mapping[tuple[int, str, int], float]
    ) -> None:
        """Counts sums that came from elsewhere: hypothesis -> count, (hypothesis, check, answer) -> count."""
        for hypothesis, count in causes.items():
            self._causes[group, hypothesis] += count
        for (hypothesis, check, answer), count in answers.items():
            self._answers[check][group, hypothesis, answer] += count

    def foresee(self, block: Block) -> Foreseen:
        """What is said of each case from those before it, in this block and earlier; then all are counted."""
        lines = np.arange(len(block.truths))
        hits = np.zeros((len(lines), *self._causes.shape))
        hits[lines, block.groups, block.truths] = 1.0
        causes = _before(self._causes, hits)
        weights = self._weights(block, causes.sum(axis=2))
        alpha = self.model.alpha + np.einsum("bg,bgh->bh", weights * block.fading, causes)
        priors = alpha / alpha.sum(axis=1, keepdims=True)
        logs = np.log(priors) + block.tried
        for id in self.model.rows:
            logs += self._evidence(id, block, weights)
        self._causes += hits.sum(axis=0)
        return Foreseen(normalised(logs), priors)

    def _weights(self, block: Block, confirmed: Array) -> Array:
        """Cases by groups: what one case of each group counts, by the rates of return up to then."""
        told = confirmed * block.fading
        over = block.over * block.fading
        weights = np.zeros_like(told)
        at = {
            ending: np.array([e == ending for e in self._endings]) for ending in dict.fromkeys(self._endings)
        }
        sums = {ending: (over @ which, told @ which) for ending, which in at.items()}
        for line in range(len(told)):
            endings = {
                ending: EndedCases(float(ended[line]), float(known[line]))
                for ending, (ended, known) in sums.items()
            }
            for each in returns(Tally(endings=endings)):
                weights[line, at[each.ending]] = each.weight
        return weights

    def _evidence(self, check: str, block: Block, weights: Array) -> Array:
        """Cases by hypotheses: ln P(what was found at one check | hypothesis); counts the block's answers."""
        sums, learned, said = self._answers[check], block.learned[check], block.said[check]
        asked = np.flatnonzero(said != NOTHING)
        readings = block.readings.get(check, {})
        logs = np.zeros((len(said), sums.shape[1]))
        told = np.flatnonzero(learned != NOTHING)
        hits = np.zeros((len(said), *sums.shape))
        hits[told, block.groups[told], block.truths[told], learned[told]] = 1.0
        if len(asked) or readings:
            with np.errstate(divide="ignore"):
                rows = np.log(self._rows(check, _before(sums, hits), weights, block.fading))
            logs[asked] = rows[asked, :, said[asked]]
            for line, bands in readings.items():
                logs[line] = np.logaddexp.reduce(rows[line] + bands, axis=1)
        sums += hits.sum(axis=0)
        return logs

    def _rows(self, check: str, before: Array, weights: Array, fading: Array) -> Array:
        """P(answer | hypothesis) before each case: cases by hypotheses by answers."""
        once = np.einsum("bg,bgha->bha", weights * fading, before)
        twice = np.einsum("bg,bgh->bh", weights**2 * fading, before.sum(axis=3))
        total = once.sum(axis=2)
        counts = once * (total / np.where(twice > 0, twice, 1.0))[:, :, None]
        pseudo = self._strength * self._lifted(check, counts) + counts
        return np.asarray(pseudo / pseudo.sum(axis=2, keepdims=True))

    def _lifted(self, check: str, counts: Array) -> Array:
        """The file's rows, each moved by what its siblings have shown."""
        rows, means = self.model.rows[check], self._means[check]
        observed = self._siblings @ counts
        expected = self._siblings @ (counts.sum(axis=2, keepdims=True) * rows)
        below = expected + means
        lift = np.where(below > 0, (observed + means) / np.where(below > 0, below, 1.0), 1.0)
        moved = rows * lift**LIFT_EXPONENT
        total = moved.sum(axis=2, keepdims=True)
        return np.where(total > 0, moved / np.where(total > 0, total, 1.0), rows)

    def _branch_means(self, rows: Array) -> Array:
        """Each hypothesis's mean row over its branch, worth as much as the file's expectations."""
        branch = self._siblings + np.eye(len(rows))
        return np.asarray(self._strength * (branch @ rows) / branch.sum(axis=1, keepdims=True))


def _siblings(model: Model) -> Array:
    """1 where two single causes have the same parent event below the top; a cause is none of its own."""
    parents: Sequence[str] = [
        model.tree.events[each.causes[0]].chain[0]
        if len(each.causes) == 1 and model.tree.events[each.causes[0]].chain
        else ""
        for each in model.hypotheses
    ]
    same = [[float(one == other != "") for other in parents] for one in parents]
    return np.array(same) * (1 - np.eye(len(parents)))


def _before(sums: Array, hits: Array) -> Array:
    """The sums before each case: those before the block, and the hits of the block up to then."""
    return np.asarray(sums + np.cumsum(hits, axis=0) - hits)
