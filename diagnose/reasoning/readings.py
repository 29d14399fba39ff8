"""What a reading with its uncertainty says about each band: virtual evidence (Pearl 1988).

A reading r with standard uncertainty u (JCGM 100) speaks for a band [lo, hi) with the weight [Phi((hi -
r)/u) - Phi((lo - r)/u)] / (hi - lo), the true value being even over the band. Weights are kept in logs: a
reading far from a band must not round to nothing, or two such bands could not be told apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import erfc, expm1, inf, log, log1p, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from diagnose.terms import Band

Array = NDArray[np.float64]


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
