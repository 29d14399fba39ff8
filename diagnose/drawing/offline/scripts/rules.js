"use strict";

/**
 * A last look at the step to which the route leads, on the belief as it really is.
 *
 * Every path of a compiled route is proved; but a walk on this page may differ from its path in three ways: a
 * reading weighs neighbouring bands, a card's fact or a finding brought along counts although the route did
 * not ask for it, and what was taken back was done all the same. So the rules of diagnose/reasoning/allowing.py
 * that hang on belief, tries and the mains (3 and 6) are asked again here. What they bar becomes the referral
 * that costs least: nothing is planned on this page.
 */
Diagnose.rules = (() => {
  /** More than half: the margin keeps an exact half from being decided by rounding. */
  const HALF = 0.5 * (1 + 1e-12);

  /**
   * Whether a check or remedy may be taken by rule 6: a try is left, and the mains are restored once at most.
   * @param {{starts: number, restored: boolean}} used what was used up, taken-back lines included
   */
  function left(tree, step, used) {
    const parts = step.kind === "check"
      ? [tree.checks[step.of]]
      : Diagnose.past.causesOf(tree, step.of).map((cause) => cause.remedy);
    const starting = step.kind === "remedy" || parts.some((each) => each.starts);
    const restoring = parts.some((each) => each.restoresMains);
    const outOfTries = tree.tries !== null && used.starts >= tree.tries;
    return !(starting && outOfTries) && !(restoring && used.restored);
  }

  /** Rule 3, for gas and for mains: their causes lead, and no check or remedy of theirs is left. */
  function mustRefer(tree, shares, situation, used) {
    return tree.referring.some((hazard) => {
      const leads = hazard.hypotheses.reduce((sum, at) => sum + shares[at], 0) > HALF;
      if (!leads) return false;
      const check = hazard.checks.some(
        (id) => !Object.hasOwn(situation.findings, id) && left(tree, { kind: "check", of: id }, used),
      );
      const remedy = hazard.remedies.some(
        (id) => !Object.hasOwn(situation.tried, id) && left(tree, { kind: "remedy", of: id }, used),
      );
      return !check && !remedy;
    });
  }

  /** The referral that costs least: its own minutes, and those of `refer_to` for what it does not serve. */
  function referral(tree, shares) {
    const usual = tree.endings[0].minutes;
    const cost = (ending) => {
      const served = ending.serves.reduce((sum, at) => sum + shares[at], 0);
      return ending.minutes + usual * Math.max(1 - served, 0);
    };
    const least = tree.endings.reduce((best, each) => (cost(each) < cost(best) - 1e-9 ? each : best));
    return { kind: "referral", of: least.of };
  }

  /**
   * The step itself where the rules allow it, else the referral that costs least.
   * @param {{kind: string, of: string}} step to which the route leads
   * @returns {{step: {kind: string, of: string}, barred: boolean}}
   */
  function kept(tree, step, shares, situation, used) {
    if (step.kind === "referral" || step.kind === "stop") return { step, barred: false };
    const open = step.kind === "handover" || left(tree, step, used);
    if (open && !mustRefer(tree, shares, situation, used)) return { step, barred: false };
    return { step: referral(tree, shares), barred: true };
  }

  return Object.freeze({ left, mustRefer, referral, kept });
})();
