"use strict";

/**
 * The 5 and 95 % points of each share: seeded draws of the prior and of the expectations, carried through the
 * findings, as in diagnose/reasoning/ranking.py. The generator is another than there, so the points agree
 * within sampling error only.
 *
 * Gamma draws by Marsaglia & Tsang (2000) with their squeeze, below one by gamma(a) = gamma(a + 1) U^(1/a), in
 * logs; normal draws by the polar method (Marsaglia & Bray 1964); uniform ones by xorshift128 (Marsaglia 2003).
 * All from memory. An answer needs its own chance alone, and one of a Dirichlet's chances has a beta
 * distribution, so two gamma draws do for it however many answers there are.
 */
Diagnose.intervals = (() => {
  const DRAWS = 4000;
  const SEED = 61025;
  const kept = new WeakMap();

  /** Uniform draws in (0, 1), always the same for one seed. */
  function uniform(seed) {
    let [x, y, z, w] = [123456789, 362436069, 521288629, (seed ^ 88675123) | 0 || 1];
    const next = () => {
      const t = x ^ (x << 11);
      x = y;
      y = z;
      z = w;
      w = w ^ (w >>> 19) ^ t ^ (t >>> 8);
      return ((w >>> 0) + 0.5) / 4294967296;
    };
    for (let n = 0; n < 20; n += 1) next();
    return next;
  }

  function normal(random) {
    for (;;) {
      const u = 2 * random() - 1;
      const v = 2 * random() - 1;
      const s = u * u + v * v;
      if (s > 0 && s < 1) return u * Math.sqrt((-2 * Math.log(s)) / s);
    }
  }

  /** ln of a gamma draw of shape `a`; minus infinity for nought. */
  function logGamma(a, random) {
    if (a <= 0) return -Infinity;
    const d = (a < 1 ? a + 1 : a) - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    for (;;) {
      const x = normal(random);
      const root = 1 + c * x;
      if (root > 0) {
        const v = root * root * root;
        const u = random();
        const squeezed = u < 1 - 0.0331 * x * x * x * x;
        if (squeezed || Math.log(u) < 0.5 * x * x + d - d * v + d * Math.log(v)) {
          return Math.log(d * v) + (a < 1 ? Math.log(random()) / a : 0);
        }
      }
    }
  }

  /** ln of one Dirichlet draw. */
  function logDirichlet(parameters, random) {
    const logs = parameters.map((a) => logGamma(a, random));
    const sum = Diagnose.numbers.logSum(logs);
    return logs.map((each) => each - sum);
  }

  /** ln of one draw of the chance at a place of a Dirichlet. */
  function logBeta(parameters, place, random) {
    const all = parameters.reduce((sum, each) => sum + each, 0);
    const own = logGamma(parameters[place], random);
    const others = logGamma(all - parameters[place], random);
    return own === -Infinity ? own : -Math.log1p(Math.exp(others - own));
  }

  /** A seed of its own for each check, whatever else was asked (FNV-1a). */
  function seedOf(text) {
    return [...text].reduce((hash, sign) => Math.imul(hash ^ sign.codePointAt(0), 16777619), 2166136261 ^ SEED);
  }

  /** What was drawn for a tree is kept: one more finding costs the draws of one more table. */
  function drawn(tree, name, draw) {
    if (!kept.has(tree)) kept.set(tree, new Map());
    const known = kept.get(tree);
    if (!known.has(name)) {
      const random = uniform(seedOf(name));
      const size = tree.hypotheses.length;
      const all = new Float64Array(DRAWS * size);
      for (let n = 0; n < DRAWS; n += 1) all.set(draw(random), n * size);
      known.set(name, all);
    }
    return known.get(name);
  }

  /** ln of the likelihood of one finding under drawn tables, draws by hypotheses. */
  function drawnFinding(tree, id, finding) {
    const check = tree.checks[id];
    const rows = tree.tables[id];
    const name = JSON.stringify([id, finding.answer, finding.value, finding.uncertainty]);
    if (finding.value === null || finding.value === undefined || check.reading === null) {
      const place = check.answers.findIndex((each) => each.id === finding.answer);
      return drawn(tree, name, (random) => rows.map((row) => logBeta(row, place, random)));
    }
    const doubt = finding.uncertainty ?? check.reading.uncertainty;
    const weights = Diagnose.evidence.logBandWeights(check.bands, finding.value, doubt);
    return drawn(tree, name, (random) => rows.map((row) =>
      Diagnose.numbers.logSum(logDirichlet(row, random).map((log, at) => log + weights[at]))));
  }

  /** What a remedy that did not cure leaves of each hypothesis, in logs. */
  function failed(tree, situation) {
    return tree.hypotheses.map((each) =>
      (situation.tried[each.id] === "not-cured" ? Math.log1p(-each.cures) : 0));
  }

  /**
   * Cut set -> [low, high].
   * @returns {Object<string, [number, number]>}
   */
  function intervals(tree, situation) {
    const size = tree.hypotheses.length;
    const logs = Float64Array.from(drawn(tree, "", (random) => logDirichlet(tree.alpha, random)));
    for (const [id, finding] of Object.entries(situation.findings)) {
      if (Diagnose.evidence.tells(tree, id, finding)) {
        const said = drawnFinding(tree, id, finding);
        for (let at = 0; at < logs.length; at += 1) logs[at] += said[at];
      }
    }
    const left = failed(tree, situation);
    const shares = tree.hypotheses.map(() => new Float64Array(DRAWS));
    for (let n = 0; n < DRAWS; n += 1) {
      const one = left.map((log, at) => logs[n * size + at] + log);
      Diagnose.evidence.normalised(one).forEach((share, at) => {
        shares[at][n] = share;
      });
    }
    return Object.fromEntries(shares.map((draws, at) => {
      draws.sort();
      return [tree.hypotheses[at].id, [quantile(draws, 0.05), quantile(draws, 0.95)]];
    }));
  }

  /** By linear interpolation between the ordered draws, as numpy does it. */
  function quantile(sorted, p) {
    const place = p * (sorted.length - 1);
    const below = Math.floor(place);
    const above = Math.min(below + 1, sorted.length - 1);
    return sorted[below] + (place - below) * (sorted[above] - sorted[below]);
  }

  return Object.freeze({ intervals, DRAWS });
})();
