"use strict";

/**
 * What each step would cost from where a learner stands, by looking two steps ahead (`looking_two_ahead`
 * in diagnose/reasoning/why.py): the step, then the better of ending and of asking once more. The program
 * reckons exactly where little is left to ask, so there its minutes can be a little others than these.
 *
 *     Diagnose.practiseValues.values(tree, situation)          step as "kind id" -> expected minutes
 *     Diagnose.practiseValues.valued(tree, situation, chosen)  {regret, better}, see practising/valuing.py
 */
Diagnose.practiseValues = (() => {
  const { sum, revived, stateOf, afterCheck, afterRemedy, allowed } = Diagnose.practiseModel;
  const { endingCosts, closing } = Diagnose.practiseClosing;

  const key = step => `${step.kind} ${step.of}`;

  function closingOf(M, state) {
    if (!(sum(state.weight) > 0)) return 0;
    return closing(M, state, allowed(M, state));
  }

  // Each answer of a check with how much of it its causes have, null for *not sure*.
  const outcomes = check =>
    [...check.stops.keys(), null].map(answer => [answer, answer === null ? check.unsure : 1 - check.unsure]);

  const stops = (check, answer) => (answer === null ? check.first : check.stops[answer]);

  // What one step costs, `behind` giving what comes after it.
  function checkCost(M, state, k, behind) {
    const check = M.checks[k];
    const here = sum(state.weight) * (check.cost + M.access(check.places & ~state.reached));
    return outcomes(check).reduce((total, [answer, chance]) => {
      const after = afterCheck(M, state, k, answer);
      return (
        total + chance * (stops(check, answer) ? endingCosts(M, after)[check.referral] : behind(M, after))
      );
    }, here);
  }

  function remedyCost(M, state, r, behind) {
    const remedy = M.remedies[r];
    const here = sum(state.weight) * (remedy.cost + M.access(remedy.places & ~state.reached));
    return here + behind(M, afterRemedy(M, state, r));
  }

  // The better of ending and of asking once more.
  function lookingAhead(M, state) {
    if (!(sum(state.weight) > 0)) return 0;
    const allow = allowed(M, state);
    const asked = allow.checks.map((open, k) => (open ? checkCost(M, state, k, closingOf) : Infinity));
    return Math.min(closing(M, state, allow), ...asked);
  }

  function all(M, state, wanted) {
    const allow = allowed(M, state);
    const mass = sum(state.weight);
    const found = new Map();
    const put = (step, cost) => {
      if ((wanted === null || wanted.includes(key(step))) && !found.has(key(step)))
        found.set(key(step), cost() / mass);
    };
    M.checks.forEach(({ id }, k) => {
      if (allow.checks[k]) put({ kind: "check", of: id }, () => checkCost(M, state, k, lookingAhead));
    });
    M.remedies.forEach(({ id }, r) => {
      if (allow.remedies[r]) put({ kind: "remedy", of: id }, () => remedyCost(M, state, r, lookingAhead));
    });
    const ends = endingCosts(M, state);
    M.endings.slice(0, M.referrals + M.handOvers).forEach((each, at) => {
      if (at < M.referrals || allow.handOver) put(each, () => ends[at]);
    });
    return found;
  }

  function values(tree, situation, wanted = null) {
    const M = Diagnose.practiseModel(tree);
    return all(M, revived(stateOf(M, situation)), wanted);
  }

  // The route's step where a situation lies on the route, null where the learner has left it.
  function onRoute(tree, situation) {
    const known = Object.keys(situation.findings).length + Object.keys(situation.tried).length;
    let node = 0;
    for (let used = 0; ; used += 1) {
      const step = tree.steps[tree.route[node].step];
      let answer = null;
      if (step.kind === "check" && Object.hasOwn(situation.findings, step.of)) {
        answer = situation.findings[step.of].answer;
      } else if (step.kind === "remedy" && Object.hasOwn(situation.tried, step.of)) {
        answer = situation.tried[step.of];
      } else {
        return step.kind === "cured" || step.kind === "stop" || used < known ? null : step;
      }
      node = tree.route[node].to[Diagnose.stepping.answersOf(tree, step).indexOf(answer)];
    }
  }

  // While the learner is on the compiled route, its own step is the best there is.
  function valued(tree, situation, chosen) {
    const pending = tree.askFirst.filter(id => !Object.hasOwn(situation.findings, id));
    const asksDanger = chosen.kind === "check" && tree.askFirst.includes(chosen.of);
    let best = onRoute(tree, situation);
    if ((best !== null && key(best) === key(chosen)) || (pending.length && asksDanger)) {
      return { regret: 0, better: chosen };
    }
    // On the route two steps are compared, off it all of them.
    const two = best !== null && !pending.length;
    let minutes = values(tree, situation, two ? [key(best), key(chosen)] : null);
    if (best === null || !minutes.has(key(best))) {
      if (two) minutes = values(tree, situation);
      best = least(minutes);
    }
    if (key(best) === key(chosen)) return { regret: 0, better: best };
    const regret = Math.max(0, (minutes.get(key(chosen)) ?? Infinity) - minutes.get(key(best)));
    return { regret, better: pending.length ? { kind: "check", of: pending[0] } : best };
  }

  function least(minutes) {
    const [first] = [...minutes].reduce((best, each) => (each[1] < best[1] ? each : best));
    const space = first.indexOf(" ");
    return { kind: first.slice(0, space), of: first.slice(space + 1) };
  }

  return Object.freeze({ values, valued, onRoute });
})();
