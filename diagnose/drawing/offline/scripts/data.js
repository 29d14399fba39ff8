"use strict";

/**
 * The data that stand in the page: what all trees share, and each tree once it is asked for.
 *
 * What is left out because it is as usual is put back here (the same as in tree_data.py), so that whoever
 * reads a check or a cause finds every key.
 *
 * `Diagnose.data` is what all trees share, `Diagnose.tree(id)` one tree (parsed when first asked for, null where
 * the page does not hold it).
 *
 * @typedef {object} Data
 * @property {string} version of the program
 * @property {string} made the day on which the page was made, ISO 8601
 * @property {string} role "owner" or "technician"
 * @property {?{name: string, numbers: Object<string, string>,
 *   where: Object<string, string>, cannot: string[], alarm: ?{from: string, says: string},
 *   due: {from: string, says: string}[]}} vehicle the
 *   card that the page was made for; `numbers` are the owner's own, referral -> number to call; what is
 *   `due` from a day on holds from that day
 * @property {?string} country id, by the card or the settings; null where none is known
 * @property {boolean} learned whether past cases count in the ranking (else it is the files' judgement)
 * @property {{cautions: Object<string, Caution>, referrals: Object<string, Referral>,
 *   places: Object<string, Place>, hazards: Object<string, {says: string, caution: ?string}>,
 *   facts: Object<string, Check>, systems: Object<string, {title: string}>,
 *   countries: Object<string, Country>}} common
 * @property {{id: string, symptom: string, alsoSaid: string[], system: string, shipped: boolean}[]} trees
 *   the headings, in the order of systems and ids
 * @property {Object<string, string>} elsewhere tree -> its symptom, of trees that only other pages hold
 *
 * @typedef {{id: string, word: string, say: string}} Caution word: DANGER, WARNING, CAUTION or NOTICE
 * @typedef {{id: string, to: string, minutes: number, wait: number, price: number, say: string,
 *   untilHelp: string}} Referral
 * @typedef {{says: string, access: number}} Place
 * @typedef {{says: string, numbers: string[], gasRegister: string, units: string[]}} Country
 * @typedef {{unit: string, low: number, high: number, uncertainty: number}} Reading
 *
 * @typedef {object} Check
 * @property {string} id
 * @property {string} ask
 * @property {string} how "" where there is nothing to say
 * @property {{id: string, says: string}[]} answers a reading's bands are its answers, in the same order
 * @property {?Reading} reading
 * @property {{id: string, low: number, high: number}[]} bands
 * @property {number} minutes
 * @property {number} wait
 * @property {number} price
 * @property {?string} at a place's id
 * @property {?string} part
 * @property {string[]} needs
 * @property {string} hands look, controls or tools
 * @property {string} by
 * @property {number} notSure
 * @property {string[]} stopOn
 * @property {?string} refer
 * @property {boolean} starts
 * @property {boolean} restoresMains
 * @property {string[]} hazards
 * @property {boolean} fact
 * @property {boolean} fixed
 *
 * @typedef {object} Cause
 * @property {string} id
 * @property {string} says
 * @property {string} prevent
 * @property {string[]} hazards
 * @property {{kind: string, text: string, how: string, by: string, hands: string, minutes: number,
 *   wait: number, price: number, at: ?string, part: ?string, needs: string[], cures: number,
 *   restoresMains: boolean, hazards: string[]}} remedy kind: do, refer (text: a referral) or see (text: a
 *   tree)
 *
 * @typedef {object} Tree
 * @property {string} id
 * @property {string} symptom
 * @property {string} system
 * @property {string[]} alsoSaid
 * @property {string} digest
 * @property {boolean} shipped
 * @property {?number} tries
 * @property {string} referTo
 * @property {string[]} cautions
 * @property {string[]} askFirst
 * @property {Object<string, string[]>} appliesTo
 * @property {{ask: string, minutes: number}} curedWhen
 * @property {Object<string, Check>} checks in file order
 * @property {Object<string, Check>} facts every fact of the common files
 * @property {Object<string, Cause>} causes in file order
 * @property {Object<string, Referral>} referrals the common ones and the tree's own
 * @property {Object<string, Place>} places likewise
 * @property {Object<string, Caution>} cautionTexts likewise
 * @property {{id: string, causes: string[], says: string, cures: number, cases: number}[]} hypotheses the
 *   cut sets, `not-listed` last; the order of every array of shares
 * @property {number[]} alpha parameters of the Dirichlet prior, in that order
 * @property {Object<string, number[][]>} tables check -> Dirichlet parameters (hypotheses by answers)
 * @property {{kind: string, of: string}[]} steps the distinct steps of the route
 * @property {{step: number, to: number[]}[]} route the compiled route; `to` in the order of the answers with
 *   `not-sure` last, for a remedy in the order cured, not-cured, could-not
 * @property {{hypotheses: number[], checks: string[], remedies: string[]}[]} referring what rule 3 looks at,
 *   for gas and for mains
 * @property {{of: string, minutes: number, serves: number[]}[]} endings the referrals that may be chosen
 * @property {string[]} dangerReferrals whom `danger` leads to, the firmest first
 * @property {{check: string, answer: string, value: ?number, uncertainty: ?number}[]} ahead facts that the
 *   vehicle's card gives
 * @property {object} code what codes need; see code_data.py
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
