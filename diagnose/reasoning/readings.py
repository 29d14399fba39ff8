"""What a reading with its uncertainty says about each band: virtual evidence (Pearl 1988).

A reading r with standard uncertainty u (JCGM 100) speaks for a band [lo, hi) with the weight [Phi((hi -
r)/u) - Phi((lo - r)/u)] / (hi - lo), the true value being even over the band. Weights are kept in logs: a
reading far from a band must not round to nothing, or two such bands could not be told apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import erfc, exp, expm1, inf, log, log1p, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from diagnose.terms import NOT_SURE, Band, Check, Finding

Array = NDArray[np.float64]

ROOT_2 = sqrt(2)


def log_normal_cdf(z: float) -> float:
    """ln Phi(z), good for any z: erfc while it lasts, then its series (Abramowitz & Stegun 26.2.12).

    >>> round(log_normal_cdf(0.0), 6), round(log_normal_cdf(-40.0), 4)
    (-0.693147, -804.6084)
    """
    if z > -30:
        return log(0.5 * erfc(-z / sqrt(2)))
    term, series = 1.0, 0.0
    for k in range(1, 8):
        term *= -(2 * k - 1) / z**2
        series += term
    return -z * z / 2 - log(-z) - 0.5 * log(2 * pi) + log1p(series)


def band_weights(bands: Sequence[Band], value: float, uncertainty: float) -> list[float]:
    """Each band's weight for one reading, quickly; what is under about 1e-300 comes out as nought.

    >>> volts = [Band("low", 0, 11.9), Band("good", 11.9, 12.4)]
    >>> [round(weight, 6) for weight in band_weights(volts, 12.37, 0.05)]
    [0.0, 1.451494]
    """
    if uncertainty == 0:
        return [exp(weight) for weight in log_band_weights(bands, value, uncertainty).tolist()]
    scale = uncertainty * ROOT_2
    weights = []
    for band in bands:
        low, high = (band.low - value) / scale, (band.high - value) / scale
        # On the side on which both tails are small, their difference keeps its figures.
        beyond = erfc(low) - erfc(high) if low > 0 else erfc(-high) - erfc(-low)
        weights.append(0.5 * beyond / (band.high - band.low))
    return weights


def log_band_weights(bands: Sequence[Band], value: float, uncertainty: float) -> Array:
    """ln of each band's weight for one reading; with no uncertainty the band that holds it takes all."""
    if uncertainty == 0:
        inside = [band.low <= value < band.high for band in bands]
        if not any(inside):
            # The upper end of the range belongs to the last band.
            inside[-1] = True
        return np.array([-log(b.high - b.low) if yes else -inf for b, yes in zip(bands, inside, strict=True)])
    return np.array([_log_weight(band, value, uncertainty) for band in bands])


def _log_weight(band: Band, value: float, uncertainty: float) -> float:
    low, high = (band.low - value) / uncertainty, (band.high - value) / uncertainty
    if low > 0:
        low, high = -high, -low
    upper, lower = log_normal_cdf(high), log_normal_cdf(low)
    if upper == lower:
        return -inf
    return upper + log(-expm1(lower - upper)) - log(band.high - band.low)


def as_numbers(
    checks: Mapping[str, Check], findings: Mapping[str, Finding]
) -> tuple[dict[str, int], dict[str, Array]]:
    """Check -> the answer's index, and check -> ln of each band's weight where there is a value."""
    answers: dict[str, int] = {}
    readings: dict[str, Array] = {}
    for id, finding in findings.items():
        check = checks[id]
        if finding.answer == NOT_SURE:
            continue
        if finding.value is None or check.reading is None:
            answers[id] = check.answer_ids().index(str(finding.answer))
        else:
            doubt = check.reading.uncertainty if finding.uncertainty is None else finding.uncertainty
            readings[id] = log_band_weights(check.bands, finding.value, doubt)
    return answers, readings
