"use strict";

/**
 * Along the compiled route: the step at which it stands once all findings are followed; see `on_route` in
 * diagnose/walking/stepping.py.
 *
 * A reading takes the edge of the band that holds its value, and what could not be done has an edge of its
 * own, behind which the route asks nothing more. At the prompt both are planned anew.
 */
Diagnose.stepping = (() => {
  /** The answers of a step in the order of its edges. */
  function answersOf(tree, step) {
    if (step.kind === "check") return [...tree.checks[step.of].answers.map((each) => each.id), "not-sure"];
    return step.kind === "remedy" ? ["cured", "not-cured", "could-not"] : [];
  }

  /**
   * Where the route stands.
   * @returns {{node: number, step: {kind: string, of: string}}}
   */
  function follow(tree, situation) {
    let node = 0;
    for (;;) {
      const step = tree.steps[tree.route[node].step];
      let answer = null;
      if (step.kind === "check" && Object.hasOwn(situation.findings, step.of)) {
        answer = situation.findings[step.of].answer;
      } else if (step.kind === "remedy" && Object.hasOwn(situation.tried, step.of)) {
        answer = situation.tried[step.of];
      }
      const edge = answer === null ? -1 : answersOf(tree, step).indexOf(answer);
      if (edge < 0) return { node, step };
      node = tree.route[node].to[edge];
    }
  }

  /** Whether the mains or more starts than the situation shows were used: by what was taken back. */
  function used(past, starts) {
    return { starts, restored: Diagnose.past.restored(past) };
  }

  /**
   * The next step of a walk, or gas to be smelt for if hands were on it in an answer that was taken back:
   * only the very remedy that was taken back may be offered once more without that.
   * @param {number} starts tries used up
   * @returns {{standing: {asking: string, of: string}, step: ?{kind: string, of: string}, barred: boolean}}
   */
  function step(past, starts) {
    const { tree } = past;
    const situation = Diagnose.past.situation(past);
    const shares = Diagnose.evidence.posterior(tree, situation);
    const found = Diagnose.rules.kept(tree, follow(tree, situation).step, shares, situation, used(past, starts));
    const undone = Diagnose.past.gasRemedies(past, false);
    const again = found.step.kind === "remedy" && undone.has(found.step.of);
    if (undone.size && Object.hasOwn(tree.checks, Diagnose.past.SMELL_OF_GAS) && !again) {
      return { standing: Diagnose.standing.askSmell(past), step: null, barred: false };
    }
    return { standing: { asking: "reckoned", of: "" }, ...found };
  }

  return Object.freeze({ answersOf, follow, step });
})();
