"""What the findings of one walk say about each hypothesis, as logs of likelihoods.

*Not sure* says nothing. A remedy that did not cure leaves its hypothesis the chance 1 - cures; one that could
not be done says nothing. Nothing here depends on the order in which things were found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.model import Model
from diagnose.reasoning.readings import band_weights, log_band_weights
from diagnose.terms import NOT_CURED, NOT_LISTED, NOT_SURE, Check, Finding, Situation

Array = NDArray[np.float64]

SAFE = 1e-200
"""Whatever is rounded to nought, under 1e-308, is nothing beside a sum above this."""


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """A model's mean prior and tables in logs, ready to be summed: worked out once, whatever is found."""

    logs: Array
    """ln of nothing said (noughts), then of the prior, then of P(answer | hypothesis) for every answer."""
    at: Mapping[str, Mapping[str | None, int]]
    """Check or fact id -> answer id -> its row in `logs`; *not sure* says nothing."""


NOTHING, PRIOR = 0, 1
"""The first rows of `logs`."""


class _SayingNothing(dict[str | None, int]):
    """The answers of a check that the tree does not use: each of them says nothing."""

    def __missing__(self, answer: str | None) -> int:
        return NOTHING


class _RowsOfChecks(dict[str, Mapping[str | None, int]]):
    """Check or fact id -> answer id -> row; asking without looking first spares a tenth of a posterior."""

    def __missing__(self, check: str) -> Mapping[str | None, int]:
        return _SayingNothing()


@lru_cache(maxsize=64)
def _columns(model: Model) -> _Columns:
    columns = [np.ones(len(model.hypotheses)), model.prior]
    at = _RowsOfChecks()
    for id, table in model.rows.items():
        answers: dict[str | None, int] = {NOT_SURE: NOTHING}
        for answer, column in zip(model.tree.checks[id].answer_ids(), table.T, strict=True):
            answers[answer] = len(columns)
            columns.append(column)
        at[id] = answers
    with np.errstate(divide="ignore"):
        return _Columns(np.log(np.array(columns)), at)


@lru_cache(maxsize=256)
def _ones(count: int) -> Array:
    """By which rows are summed: for a dozen of them a product is several times as fast as a reduction."""
    return np.ones(count)


def log_joint(model: Model, situation: Situation) -> Array:
    """ln of prior times likelihood at the mean prior and the mean tables, up to a constant."""
    return _of_means(model, situation, PRIOR)


def log_likelihood(
    model: Model,
    situation: Situation,
    rows: Mapping[str, Array] | None = None,
    shape: tuple[int, ...] = (),
) -> Array:
    """ln P(findings, failed remedies | hypothesis), up to a constant.

    `rows` may stand in for the model's tables, with leading axes of the given shape (draws); the result
    then has those axes too.
    """
    if rows is None:
        return _of_means(model, situation, NOTHING)
    total = np.zeros((*shape, len(model.hypotheses)))
    for finding in situation.findings.values():
        if finding.check in rows and finding.answer != NOT_SURE:
            total = total + _of_finding(model.tree.checks[finding.check], rows[finding.check], finding)
    return total + _of_failed_remedies(model, situation)


def _of_means(model: Model, situation: Situation, start: int) -> Array:
    """The row `start` and what was found, by the mean tables: all columns are picked and summed at once."""
    known = _columns(model)
    rows_of, findings = known.at, situation.findings.values()
    # What says nothing is left out, so that not even the last digit tells of it.
    picked = [row for each in findings if each.value is None and (row := rows_of[each.check][each.answer])]
    picked.append(start)
    readings = []
    if len(picked) <= len(findings):
        for finding in findings:
            if finding.value is None or finding.check not in rows_of:
                continue
            if model.tree.checks[finding.check].reading is None:
                picked.append(rows_of[finding.check][finding.answer])
            elif finding.answer != NOT_SURE:
                readings.append(finding)
    total: Array = _ones(len(picked)).dot(known.logs.take(picked, axis=0))
    for finding in readings:
        total = total + _of_finding(model.tree.checks[finding.check], model.rows[finding.check], finding)
    return total + _of_failed_remedies(model, situation) if situation.tried else total


def _of_finding(check: Check, rows: Array, finding: Finding) -> Array:
    """One finding's part: a reading weighs its bands, an answer (or a band as such) picks its column."""
    if finding.value is None or check.reading is None:
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(rows[..., check.answer_ids().index(str(finding.answer))]))
    uncertainty = check.reading.uncertainty if finding.uncertainty is None else finding.uncertainty
    mixed = rows.dot(band_weights(check.bands, finding.value, uncertainty))
    if np.minimum.reduce(mixed, axis=None) > SAFE:
        return np.asarray(np.log(mixed))
    # Where no row allows the band that holds the value, tails of others decide: in logs to the end.
    weights = log_band_weights(check.bands, finding.value, uncertainty)
    with np.errstate(divide="ignore"):
        return np.asarray(np.logaddexp.reduce(np.log(rows) + weights, axis=-1))


def _of_failed_remedies(model: Model, situation: Situation) -> Array:
    total = np.zeros(len(model.hypotheses))
    with np.errstate(divide="ignore"):
        for cut_set, what in situation.tried.items():
            if what == NOT_CURED and cut_set in model.index:
                at = model.index[cut_set]
                total[at] = np.log1p(-model.hypotheses[at].cures)
    return total


def normalised(log_weights: Array) -> Array:
    """Shares from logs of weights, over the last axis; where nothing allows the findings, `not-listed` does.

    >>> normalised(np.log([0.75, 0.25]) + np.log([0.2, 0.6])).round(3).tolist()
    [0.5, 0.5]
    """
    if log_weights.ndim == 1:
        # One walk's shares are asked for at every step: the short way, where nothing comes near underflow.
        alone: Array = np.exp(log_weights)
        total = float(alone.dot(_ones(len(alone))))
        if SAFE < total < inf:
            alone /= total
            return alone
    peak = log_weights.max(axis=-1, keepdims=True)
    impossible = np.isneginf(peak[..., 0])
    weights = np.exp(log_weights - np.where(np.isneginf(peak), 0.0, peak))
    weights[impossible, -1] = 1.0
    return np.asarray(weights / weights.sum(axis=-1, keepdims=True))


def hidden_index(model: Model) -> int:
    """Where `not-listed` stands: always last."""
    return model.index[NOT_LISTED]
