"use strict";

/**
 * A tree's steps and states as the arithmetic of exercises takes them; see diagnose/reasoning/states.py,
 * allowing.py and figures.py. What was asked first is taken as asked: an exercise tells of that by itself.
 *
 *     Diagnose.practiseModel(tree)   {checks, remedies, endings, ...}, kept with the tree
 *
 * @typedef {{weight: number[], asked: boolean[], done: boolean[], reached: number, starts: number,
 *   restored: boolean}} State `weight` is belief times any mass, `reached` the bits of places
 */
Diagnose.practiseModel = (() => {
  const HALF = 0.5 * (1 + 1e-12);
  const models = new WeakMap();

  function model(tree) {
    if (!models.has(tree)) models.set(tree, made(tree));
    return models.get(tree);
  }

  function made(tree) {
    const { practise } = tree;
    const rows = Diagnose.evidence.rows(tree);
    const bits = new Map();
    const bit = place => {
      if (!bits.has(place)) bits.set(place, 1 << bits.size);
      return bits.get(place);
    };
    const bitsOf = places => places.reduce((sum, place) => sum | bit(place), 0);
    const ending = id => practise.endings.findIndex(each => each.kind === "referral" && each.of === id);
    const checks = practise.checks.map(({ id, cost }) => {
      const check = tree.checks[id];
      const first = tree.askFirst.includes(id);
      return {
        id,
        cost,
        first,
        rows: rows[id],
        unsure: check.notSure,
        starts: check.starts,
        restores: check.restoresMains,
        places: check.at === null ? 0 : bit(check.at),
        stops: check.answers.map(answer => check.stopOn.includes(answer.id)),
        referral: check.refer === null ? -1 : ending(check.refer),
      };
    });
    const remedies = practise.remedies.map(each => ({
      id: tree.hypotheses[each.of].id,
      at: each.of,
      cost: each.cost,
      places: bitsOf(each.places),
      cures: tree.hypotheses[each.of].cures,
      restores: each.restoresMains,
    }));
    const access = [...bits].map(([place, mask]) => [mask, tree.places[place].access]);
    const theirs = tree.referring.map(hazard => ({
      hypotheses: hazard.hypotheses,
      checks: checks.map(each => hazard.checks.includes(each.id)),
      remedies: remedies.map(each => hazard.remedies.includes(each.id)),
    }));
    return Object.freeze({
      tree,
      checks,
      remedies,
      endings: practise.endings,
      referrals: practise.referrals,
      handOvers: practise.handOvers,
      theirs,
      tries: tree.tries ?? Infinity,
      bit: place => bits.get(place) ?? 0,
      access: mask => access.reduce((sum, [own, minutes]) => (mask & own ? sum + minutes : sum), 0),
    });
  }

  const set = (list, at, value) => list.map((each, place) => (place === at ? value : each));

  const sum = weight => weight.reduce((all, each) => all + each, 0);

  // Where nothing allows what was found, something that is not listed does.
  function revived(state) {
    if (sum(state.weight) > 0) return state;
    return { ...state, weight: state.weight.map((_, at) => (at === state.weight.length - 1 ? 1 : 0)) };
  }

  function stateOf(M, situation) {
    const state = {
      weight: Diagnose.evidence.posterior(M.tree, situation),
      asked: M.checks.map(each => each.first || Object.hasOwn(situation.findings, each.id)),
      done: M.remedies.map(each => Object.hasOwn(situation.tried, each.id)),
      reached: 0,
      starts: 0,
      restored: false,
    };
    for (const [at, each] of M.checks.entries()) {
      if (Object.hasOwn(situation.findings, each.id)) count(state, M.checks[at], each.starts);
    }
    M.remedies
      .filter(each => Object.hasOwn(situation.tried, each.id))
      .forEach(each => count(state, each, true));
    return state;
  }

  function count(state, step, starts) {
    state.reached |= step.places;
    state.starts += starts ? 1 : 0;
    state.restored ||= step.restores;
  }

  // `answer` is its place; null is *not sure*.
  function afterCheck(M, state, k, answer) {
    const check = M.checks[k];
    const after = {
      ...state,
      weight: answer === null ? state.weight : state.weight.map((each, h) => each * check.rows[h][answer]),
      asked: set(state.asked, k, true),
    };
    count(after, check, check.starts);
    return after;
  }

  function afterRemedy(M, state, r) {
    const remedy = M.remedies[r];
    const weight = set(state.weight, remedy.at, state.weight[remedy.at] * (1 - remedy.cures));
    const after = { ...state, weight, done: set(state.done, r, true) };
    count(after, remedy, true);
    return after;
  }

  // Which steps safety allows: rules 3 and 6.
  function allowed(M, state) {
    const out = state.starts >= M.tries;
    const checks = M.checks.map(
      (each, k) => !state.asked[k] && !(out && each.starts) && !(state.restored && each.restores),
    );
    const remedies = M.remedies.map(
      (each, r) => !state.done[r] && !out && !(state.restored && each.restores),
    );
    const total = sum(state.weight);
    const refer = M.theirs.some(
      theirs =>
        theirs.hypotheses.reduce((all, at) => all + state.weight[at], 0) > HALF * total &&
        !checks.some((open, k) => open && theirs.checks[k]) &&
        !remedies.some((open, r) => open && theirs.remedies[r]),
    );
    const none = list => list.map(() => false);
    return refer
      ? { checks: none(checks), remedies: none(remedies), handOver: false }
      : { checks, remedies, handOver: true };
  }

  return Object.freeze(Object.assign(model, { sum, revived, stateOf, afterCheck, afterRemedy, allowed }));
})();
