"use strict";

/**
 * Why a step: the causes that its answers tell apart, and where each answer leads; see
 * diagnose/reasoning/why.py and diagnose/walking/leading.py. The minutes that a step saves are not told here:
 * they would have to be planned.
 */
Diagnose.reasons = (() => {
  /** A cause is told apart if the answers are expected to move its share by this much. */
  const TELLING = 0.03;
  const OUTCOMES = { "not-sure": "Not sure", "not-cured": "No better", "could-not": "Could not do that" };

  /** The places of the hypotheses whose shares the answers are expected to move most, the most moved first. */
  function separated(tree, situation, id) {
    const belief = Diagnose.evidence.posterior(tree, situation);
    const rows = Diagnose.evidence.rows(tree)[id];
    const moved = belief.map(() => 0);
    rows[0].forEach((_, answer) => {
      const joint = belief.map((share, at) => share * rows[at][answer]);
      const chance = joint.reduce((sum, each) => sum + each, 0);
      joint.forEach((each, at) => {
        if (chance > 0) moved[at] += Math.abs(each / chance - belief[at]) * chance;
      });
    });
    const order = moved.map((_, at) => at).sort((one, other) => moved[other] - moved[one] || one - other);
    return order.filter((at) => moved[at] > TELLING);
  }

  /** Where the answers to a step lead, those of one next step together, in the order of the answers. */
  function leads(scene) {
    const { past, step, setting } = scene;
    const { tree } = past;
    const choices = step.kind === "check" ? tree.checks[step.of].answers : [];
    const says = new Map(choices.map((each) => [each.id, each.says.trim().replace(/\.$/, "")]));
    const together = new Map();
    for (const lead of Diagnose.walking.leadsTo(past, step, setting)) {
      const key = JSON.stringify(lead.step);
      if (!together.has(key)) together.set(key, { answers: [], step: lead.step, says: inWords(past, lead.step) });
      together.get(key).answers.push(says.get(lead.answer) ?? OUTCOMES[lead.answer] ?? lead.answer);
    }
    return [...together.values()];
  }

  /** What to do is not told ahead of its cautions: nothing is said of a check whose cautions nobody has seen. */
  function inWords(past, step) {
    const { tree } = past;
    if (step.kind === "check") {
      const unseen = Diagnose.cautioning.notYetShown(past, { asking: "reckoned", of: "" }, step);
      return unseen.length || tree.checks[step.of].starts ? "" : tree.checks[step.of].ask;
    }
    if (step.kind === "remedy") return Diagnose.past.inWords(tree, step.of);
    return Object.hasOwn(tree.referrals, step.of) ? tree.referrals[step.of].to : step.of;
  }

  /**
   * The reasons for the step of a scene.
   * @returns {{separates: string[], leads: {answers: string[], step: object, says: string}[], sure: ?object}}
   */
  function why(scene) {
    const { past, step } = scene;
    const situation = Diagnose.past.situation(past);
    const separates = step.kind === "check"
      ? separated(past.tree, situation, step.of).map((at) => past.tree.hypotheses[at].says)
      : [Diagnose.past.inWords(past.tree, step.of)];
    return { separates, leads: leads(scene), sure: scene.ranking[0] ?? null };
  }

  return Object.freeze({ why, separated });
})();
