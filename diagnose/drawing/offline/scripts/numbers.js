"use strict";

/**
 * The normal distribution and sums in logs, as diagnose/reasoning/readings.py has them.
 *
 * Sources: erf by the series of positive terms (Abramowitz & Stegun 7.1.6), erfc in the tail by its continued
 * fraction (7.1.14), evaluated from the far end; ln Phi far out by the asymptotic series (26.2.12). Formulas from
 * memory; the figures are compared with Python's `math.erfc`, which is the C library's.
 */
Diagnose.numbers = (() => {
  const ROOT_PI = Math.sqrt(Math.PI);
  const ROOT_2 = Math.SQRT2;
  /** From here on the tail is reckoned by itself: 1 - erf would lose its figures. */
  const TAIL = 2;

  /** erf(x) for small x: 2/sqrt(pi) e^(-x^2) sum 2^n x^(2n+1) / (1 3 5 ... (2n+1)). */
  function erfSeries(x) {
    let term = x;
    let sum = x;
    for (let n = 1; Math.abs(term) > 1e-17 * Math.abs(sum); n += 1) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return (2 / ROOT_PI) * Math.exp(-x * x) * sum;
  }

  /** erfc(x) for large x: e^(-x^2)/sqrt(pi) 1/(x + (1/2)/(x + 1/(x + (3/2)/(x + ...)))). */
  function erfcTail(x) {
    let below = x;
    for (let n = Math.ceil(40 + 260 / (x * x)); n > 0; n -= 1) below = x + n / 2 / below;
    return Math.exp(-x * x) / (ROOT_PI * below);
  }

  /** The complementary error function. */
  function erfc(x) {
    if (x < 0) return 2 - erfc(-x);
    return x < TAIL ? 1 - erfSeries(x) : erfcTail(x);
  }

  /** ln Phi(z), good for any z. */
  function logNormalCdf(z) {
    if (z > -30) return Math.log(0.5 * erfc(-z / ROOT_2));
    let term = 1;
    let series = 0;
    for (let k = 1; k < 8; k += 1) {
      term *= -(2 * k - 1) / (z * z);
      series += term;
    }
    return (-z * z) / 2 - Math.log(-z) - 0.5 * Math.log(2 * Math.PI) + Math.log1p(series);
  }

  /** ln of the sum of exponentials. */
  function logSum(logs) {
    const peak = Math.max(...logs);
    if (!Number.isFinite(peak)) return peak;
    return peak + Math.log(logs.reduce((sum, each) => sum + Math.exp(each - peak), 0));
  }

  return Object.freeze({ erfc, logNormalCdf, logSum });
})();
