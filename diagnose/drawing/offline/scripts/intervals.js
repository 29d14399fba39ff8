"use strict";

/**
 * The 5 and 95 % points of each share: seeded draws of the prior and of the expectations, carried through the
 * findings, as in diagnose/reasoning/ranking.py. The generator is another than there, so the points agree
 * within sampling error only.
 *
 * Gamma draws by Marsaglia & Tsang (2000), below one by gamma(a) = gamma(a + 1) U^(1/a), in logs; normal draws
 * by the polar method (Marsaglia & Bray 1964); uniform ones by xorshift128 (Marsaglia 2003). From memory.
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
      [x, y, z] = [y, z, w];
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
    const d = a + 1 - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    for (;;) {
      const x = normal(random);
      const v = (1 + c * x) ** 3;
      if (v > 0 && Math.log(random()) < 0.5 * x * x + d - d * v + d * Math.log(v)) {
        return Math.log(d * v) + Math.log(random()) / a;
      }
    }
  }

  /** ln of one Dirichlet draw. */
  function logDirichlet(parameters, random) {
    const logs = parameters.map((a) => logGamma(a, random));
    const sum = Diagnose.numbers.logSum(logs);
    return logs.map((each) => each - sum);
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
    const name = JSON.stringify([id, finding.answer, finding.value, finding.uncertainty]);
    return drawn(tree, name, (random) => {
      const table = tree.tables[id].map((row) => logDirichlet(row, random).map(Math.exp));
      return Diagnose.evidence.logOfFinding(check, table, finding);
    });
  }

  /**
   * Cut set -> [low, high].
   * @returns {Object<string, [number, number]>}
   */
  function intervals(tree, situation) {
    const size = tree.hypotheses.length;
    const logs = Float64Array.from(drawn(tree, "", (random) => logDirichlet(tree.alpha, random)));
    for (const [id, finding] of Object.entries(situation.findings)) {
      if (!Diagnose.evidence.tells(tree, id, finding)) continue;
      drawnFinding(tree, id, finding).forEach((log, at) => {
        logs[at] += log;
      });
    }
    const failed = tree.hypotheses.map((each) =>
      situation.tried[each.id] === "not-cured" ? Math.log1p(-each.cures) : 0);
    const shares = tree.hypotheses.map(() => new Float64Array(DRAWS));
    for (let n = 0; n < DRAWS; n += 1) {
      const one = Array.from(logs.subarray(n * size, (n + 1) * size), (log, at) => log + failed[at]);
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
