"use strict";

/**
 * The share of each hypothesis after the findings, from the tables of the tree: the sums of
 * diagnose/reasoning/evidence.py and readings.py.
 *
 * A situation is {findings: {check -> {answer, value, uncertainty}}, tried: {cut set -> outcome}}; the order
 * in which things were found plays no part. *Not sure* says nothing; a remedy that did not cure leaves its
 * hypothesis the chance 1 - cures; one that could not be done says nothing.
 */
Diagnose.evidence = (() => {
  const NOT_SURE = "not-sure";
  const means = new WeakMap();

  /** Each row of Dirichlet parameters as the mean of its draws; kept with the tree. */
  function rows(tree) {
    if (!means.has(tree)) {
      const mean = (row) => {
        const sum = row.reduce((total, each) => total + each, 0);
        return row.map((each) => each / sum);
      };
      means.set(
        tree,
        Object.fromEntries(Object.entries(tree.tables).map(([id, table]) => [id, table.map(mean)])),
      );
    }
    return means.get(tree);
  }

  /** The mean share of each hypothesis before any finding. */
  function prior(tree) {
    const sum = tree.alpha.reduce((total, each) => total + each, 0);
    return tree.alpha.map((each) => each / sum);
  }

  /** ln of each band's weight for one reading: [Phi((high - r)/u) - Phi((low - r)/u)] / (high - low). */
  function logBandWeights(bands, value, uncertainty) {
    if (uncertainty === 0) {
      const inside = bands.map((band) => band.low <= value && value < band.high);
      if (!inside.includes(true)) inside[inside.length - 1] = true;
      return bands.map((band, at) => (inside[at] ? -Math.log(band.high - band.low) : -Infinity));
    }
    return bands.map((band) => {
      let low = (band.low - value) / uncertainty;
      let high = (band.high - value) / uncertainty;
      if (low > 0) [low, high] = [-high, -low];
      const upper = Diagnose.numbers.logNormalCdf(high);
      const lower = Diagnose.numbers.logNormalCdf(low);
      if (upper === lower) return -Infinity;
      return upper + Math.log(-Math.expm1(lower - upper)) - Math.log(band.high - band.low);
    });
  }

  /** Whether a finding says anything about a cause: the tree has a table for it, and it is sure. */
  function tells(tree, id, finding) {
    return Object.hasOwn(tree.tables, id) && finding.answer !== NOT_SURE;
  }

  /**
   * ln P(finding | hypothesis) up to a constant.
   * @param {number[][]} table P(answer | hypothesis), hypotheses by answers
   */
  function logOfFinding(check, table, finding) {
    if (finding.value === null || finding.value === undefined || check.reading === null) {
      const at = check.answers.findIndex((answer) => answer.id === finding.answer);
      return table.map((row) => Math.log(row[at]));
    }
    const doubt = finding.uncertainty ?? check.reading.uncertainty;
    const weights = logBandWeights(check.bands, finding.value, doubt);
    return table.map((row) => Diagnose.numbers.logSum(row.map((p, at) => Math.log(p) + weights[at])));
  }

  /** ln P(findings, failed remedies | hypothesis) by tables that may stand in for the tree's own. */
  function logLikelihood(tree, situation, tables = rows(tree)) {
    const total = tree.hypotheses.map(() => 0);
    for (const [id, finding] of Object.entries(situation.findings)) {
      if (!tells(tree, id, finding)) continue;
      logOfFinding(tree.checks[id], tables[id], finding).forEach((log, at) => {
        total[at] += log;
      });
    }
    tree.hypotheses.forEach((each, at) => {
      if (situation.tried[each.id] === "not-cured") total[at] += Math.log1p(-each.cures);
    });
    return total;
  }

  /** Shares from logs of weights; where nothing allows the findings, `not-listed` does. */
  function normalised(logs) {
    const peak = Math.max(...logs);
    if (peak === -Infinity) return logs.map((_, at) => (at === logs.length - 1 ? 1 : 0));
    const weights = logs.map((each) => Math.exp(each - peak));
    const sum = weights.reduce((total, each) => total + each, 0);
    return weights.map((each) => each / sum);
  }

  /**
   * The share of each hypothesis, in the tree's order; sums to one.
   * @returns {number[]}
   */
  function posterior(tree, situation) {
    const before = prior(tree);
    return normalised(logLikelihood(tree, situation).map((log, at) => log + Math.log(before[at])));
  }

  /**
   * Every hypothesis in falling share, ties in the tree's order; what differs by rounding alone is a tie.
   * @returns {{cause: string, says: string, share: number, cases: number}[]}
   */
  function ranking(tree, situation) {
    const shares = posterior(tree, situation);
    const rounded = shares.map((share) => Number(share.toPrecision(12)));
    const order = shares.map((_, at) => at).sort((one, other) => rounded[other] - rounded[one] || one - other);
    return order.map((at) => ({
      cause: tree.hypotheses[at].id,
      says: tree.hypotheses[at].says,
      share: shares[at],
      cases: tree.hypotheses[at].cases,
    }));
  }

  return Object.freeze({ rows, prior, posterior, ranking, logBandWeights, logOfFinding, logLikelihood,
    normalised, tells });
})();
