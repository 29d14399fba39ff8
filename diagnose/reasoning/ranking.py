"""The causes in order of likelihood, each with the interval that its share may reasonably have.

The share is the posterior at the mean prior and the mean expectations, which is the exact predictive for one
vehicle. The interval (5 and 95 % points) comes from 4,000 seeded draws of both, carried through the findings.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.evidence import log_joint, log_likelihood, normalised
from diagnose.reasoning.model import Model
from diagnose.terms import NOT_SURE, Ranked, Situation

Array = NDArray[np.float64]

DRAWS = 4000
SEED = 61025


def posterior(model: Model, situation: Situation) -> Array:
    """The share of each hypothesis, in the model's order; sums to one.

    A remedy that did not cure leaves its hypothesis with what it may have missed. Findings of checks that the
    tree does not use are passed over.
    """
    return normalised(log_joint(model, situation))


def ranking(model: Model, situation: Situation, draws: int = DRAWS) -> tuple[Ranked, ...]:
    """Every hypothesis in falling share (ties in the model's order), with interval and confirmed cases."""
    share = posterior(model, situation)
    low, high = np.quantile(drawn_shares(model, situation, draws), [0.05, 0.95], axis=0)
    order = np.argsort(-share, kind="stable")
    return tuple(
        Ranked(
            cause=model.hypotheses[at].id,
            says=model.hypotheses[at].says,
            share=float(share[at]),
            low=float(low[at]),
            high=float(high[at]),
            cases=model.confirmed.get(model.hypotheses[at].id, 0.0),
        )
        for at in order
    )


def drawn_shares(model: Model, situation: Situation, draws: int = DRAWS) -> Array:
    """Seeded draws of the shares after the findings (draws by hypotheses): the same on every machine."""
    log_prior = _drawn_prior(model, draws)
    rows = {
        finding.check: _drawn_rows(model, finding.check, draws)
        for finding in situation.findings.values()
        if finding.check in model.pseudo_counts and finding.answer != NOT_SURE
    }
    return normalised(log_prior + log_likelihood(model, situation, rows, shape=(draws,)))


def draw_ahead(model: Model, given_up: Callable[[], bool], draws: int = DRAWS) -> None:
    """Makes the draws that intervals will want, until given up: a ranking finds them made."""
    _drawn_prior(model, draws)
    for check in model.pseudo_counts:
        if given_up():
            return
        _drawn_rows(model, check, draws)


@lru_cache(maxsize=8)
def _drawn_prior(model: Model, draws: int) -> Array:
    return log_dirichlet(np.random.default_rng(SEED), model.alpha, draws)


@lru_cache(maxsize=64)
def _drawn_rows(model: Model, check: str, draws: int) -> Array:
    """Draws of one check's table (draws by hypotheses by answers), seeded by its id.

    Kept, so that one more finding costs the draws of one more table, and the order of findings plays no part.
    """
    rng = np.random.default_rng([SEED, crc32(check.encode())])
    return np.asarray(np.exp(log_dirichlet(rng, model.pseudo_counts[check], draws)))


def log_dirichlet(rng: np.random.Generator, alpha: Array, draws: int) -> Array:
    """ln of Dirichlet draws over the last axis; a parameter of nought gives minus infinity.

    Gamma draws underflow far below alpha = 1, so they are made in logs:
    gamma(a) = gamma(a + 1) * U^(1/a) (Marsaglia & Tsang 2000).
    """
    shape = (draws, *alpha.shape)
    some = np.where(alpha > 0, alpha, 1.0)
    logs = np.log(rng.standard_gamma(some + 1, size=shape)) + np.log(rng.random(size=shape)) / some
    logs = np.where(alpha > 0, logs, -np.inf)
    peak = logs.max(axis=-1, keepdims=True)
    return np.asarray(logs - peak - np.log(np.exp(logs - peak).sum(axis=-1, keepdims=True)))
