"""What the findings of one walk say about each hypothesis, as logs of likelihoods.

*Not sure* says nothing. A remedy that did not cure leaves its hypothesis the chance 1 - cures; one that could
not be done says nothing. Nothing here depends on the order in which things were found.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.model import Model
from diagnose.reasoning.readings import log_band_weights
from diagnose.terms import NOT_CURED, NOT_LISTED, NOT_SURE, Check, Finding, Situation

Array = NDArray[np.float64]


def log_likelihood(
    model: Model, situation: Situation, rows: dict[str, Array] | None = None, shape: tuple[int, ...] = ()
) -> Array:
    """ln P(findings, failed remedies | hypothesis), up to a constant.

    `rows` may stand in for the model's tables, with leading axes of the given shape (draws); the result
    then has those axes too.
    """
    tables = model.rows if rows is None else rows
    total = np.zeros((*shape, len(model.hypotheses)))
    for finding in situation.findings.values():
        if finding.check in tables and finding.answer != NOT_SURE:
            total = total + _of_finding(model.tree.checks[finding.check], tables[finding.check], finding)
    return total + _of_failed_remedies(model, situation)


def _of_finding(check: Check, rows: Array, finding: Finding) -> Array:
    """One finding's part: a reading weighs its bands, an answer (or a band as such) picks its column."""
    with np.errstate(divide="ignore"):
        if finding.value is None or check.reading is None:
            return np.asarray(np.log(rows[..., check.answer_ids().index(str(finding.answer))]))
        uncertainty = check.reading.uncertainty if finding.uncertainty is None else finding.uncertainty
        weights = log_band_weights(check.bands, finding.value, uncertainty)
        # In logs to the end: where no row allows the band that holds the value, tails of others decide.
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
    peak = log_weights.max(axis=-1, keepdims=True)
    impossible = np.isneginf(peak[..., 0])
    weights = np.exp(log_weights - np.where(np.isneginf(peak), 0.0, peak))
    weights[impossible, -1] = 1.0
    return np.asarray(weights / weights.sum(axis=-1, keepdims=True))


def hidden_index(model: Model) -> int:
    """Where `not-listed` stands: always last."""
    return model.index[NOT_LISTED]
