"use strict";

/**
 * The data that stand in the page: what all trees share, and each tree once it is asked for.
 *
 * What is left out because it is as usual is put back here (the same as in tree_data.py), so that whoever
 * reads a check or a cause finds every key.
 */
Diagnose.documents = (() => {
  const CHECK = {
    how: "", hands: "look", by: "owner", wait: 0, price: 0, at: null, part: null, needs: [], notSure: 0.05,
    stopOn: [], refer: null, starts: false, restoresMains: false, hazards: [], was: [], fact: false,
    fixed: false, reading: null, bands: [],
  };
  const CAUSE = { prevent: "", hazards: [], was: [] };
  const REMEDY = {
    how: "", by: "owner", hands: "look", minutes: 0, wait: 0, price: 0, at: null, part: null, needs: [],
    cures: 1, restoresMains: false, hazards: [],
  };

  /** Each value of an object made anew by `make(value, key)`, in the same order. */
  function each(values, make) {
    return Object.fromEntries(Object.entries(values).map(([key, value]) => [key, make(value, key)]));
  }

  const check = (given, id) => Object.freeze({ id, ...CHECK, ...given });
  const named = (given, id) => Object.freeze({ id, ...given });

  function cause(given, id) {
    return Object.freeze({ id, ...CAUSE, ...given, remedy: Object.freeze({ ...REMEDY, ...given.remedy }) });
  }

  /**
   * The shared document with every key in its place.
   * @param {object} given as page.py wrote it
   * @returns {Data}
   */
  function common(given) {
    const shared = given.common;
    return {
      ...given,
      common: {
        ...shared,
        cautions: each(shared.cautions, named),
        referrals: each(shared.referrals, named),
        facts: each(shared.facts, check),
      },
    };
  }

  /** The distinct rows of a table put back to a row for each hypothesis. */
  const table = (given) => given.of.map((row) => given.rows[row]);

  /**
   * The route's nodes from the list of numbers: a step, then where each of its answers leads.
   * @returns {{step: number, to: number[]}[]}
   */
  function nodes(numbers, steps, checks) {
    const edges = steps.map((step) => {
      if (step.kind === "check") return checks[step.of].answers.length + 1;
      return step.kind === "remedy" ? 3 : 0;
    });
    const found = [];
    for (let at = 0; at < numbers.length; ) {
      const step = numbers[at];
      found.push({ step, to: numbers.slice(at + 1, at + 1 + edges[step]) });
      at += 1 + edges[step];
    }
    return found;
  }

  /**
   * A tree with what it shares with others, every key in its place.
   * @param {object} given as page.py wrote it
   * @param {Data} data
   * @returns {Tree}
   */
  function tree(given, data) {
    const checks = each(given.checks, check);
    return {
      ...given,
      checks,
      facts: data.common.facts,
      causes: each(given.causes, cause),
      referrals: { ...data.common.referrals, ...each(given.referrals, named) },
      places: { ...data.common.places, ...given.places },
      cautionTexts: { ...data.common.cautions, ...each(given.cautionTexts, named) },
      hazards: data.common.hazards,
      hypotheses: given.hypotheses.map((one) => ({
        cures: 1,
        cases: 0,
        ...one,
        causes: one.id === "not-listed" ? [] : one.id.split("+"),
      })),
      tables: each(given.tables, table),
      route: nodes(given.nodes, given.steps, checks),
      ahead: given.ahead,
    };
  }

  return Object.freeze({ common, tree });
})();

/** What all trees share; read from the page when it is first asked for. */
Object.defineProperty(Diagnose, "data", {
  get() {
    const text = document.getElementById("data").textContent;
    const data = Diagnose.documents.common(JSON.parse(text));
    Object.defineProperty(Diagnose, "data", { value: data });
    return data;
  },
  configurable: true,
});

/**
 * One tree, or null where the page does not hold it.
 * @param {string} id
 * @returns {?Tree}
 */
Diagnose.tree = (() => {
  const known = new Map();
  return (id) => {
    if (!known.has(id)) {
      const element = document.getElementById(`tree-${id}`);
      known.set(id, element && Diagnose.documents.tree(JSON.parse(element.textContent), Diagnose.data));
    }
    return known.get(id);
  };
})();
