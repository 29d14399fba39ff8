"use strict";

/**
 * How an exercise went: minutes beside the best route's on the same vehicle, marks, the costliest turn; see
 * diagnose/practising/scoring.py. What a turn lost is found by looking two steps ahead, and says so.
 *
 *     Diagnose.practiseScore.scored(run)   {ended, found, spent, best, marks, costliest, misleading, worths}
 *     Diagnose.practiseScore.worth(run, turn)   {regret, better}, null for what is no step
 */
Diagnose.practiseScore = (() => {
  const valued = new WeakMap();

  function worth(run, turn) {
    const { choice, became } = turn;
    const compared =
      ["found", "cured", "not-cured", "handed-over"].includes(became) ||
      (became === "stopped" && choice.kind === "stop" && !stopped(run.tree, turn.before));
    if (!compared) return null;
    if (!valued.has(turn)) {
      const of = choice.kind === "stop" ? run.tree.referTo : choice.id;
      const kind = choice.kind === "stop" ? "referral" : choice.kind;
      valued.set(turn, Diagnose.practiseValues.valued(run.tree, turn.before, { kind, of }));
    }
    return valued.get(turn);
  }

  // Whether a danger answer was known by then: what is chosen after one is no step.
  const stopped = (tree, situation) =>
    Object.entries(situation.findings).some(([id, { answer }]) =>
      Diagnose.past.stops(tree, tree.checks[id], answer),
    );

  // The same vehicle along the compiled route.
  function bestOf({ tree, seed, fault }) {
    const run = Diagnose.practiseRun(tree, seed, fault);
    for (let node = 0; ;) {
      const step = tree.steps[tree.route[node].step];
      if (step.kind === "cured") return run;
      const turn = run.choose(run.byId(step.kind === "stop" ? "stop" : step.of));
      if (run.over()) return run;
      if (run.stop() !== null) {
        run.choose(run.byId("stop"));
        return run;
      }
      const answer = turn.finding === null ? "not-cured" : turn.finding.answer;
      node = tree.route[node].to[Diagnose.stepping.answersOf(tree, step).indexOf(answer)];
    }
  }

  const ended = run => (run.over() ? run.turns[run.turns.length - 1].became : "left-off");

  function found(run) {
    if (ended(run) === "stopped" && run.stop() !== null) return null;
    return ended(run) === "cured" || run.named === run.vehicle.fault.id;
  }

  function misleads(turn) {
    const answered = turn.finding !== null && turn.finding.answer !== "not-sure";
    return (
      answered &&
      turn.became === "found" &&
      turn.shares[1] < Diagnose.data.practise.misleading * turn.shares[0]
    );
  }

  function scored(run) {
    const worths = run.turns.map(turn => worth(run, turn));
    const lost = worths.map(each => each?.regret ?? 0);
    const most = Math.max(0, ...lost);
    return {
      ended: ended(run),
      found: found(run),
      spent: run.spent(),
      best: bestOf(run),
      marks: run.turns.flatMap(turn => turn.marks),
      worths,
      costliest: most >= Diagnose.data.practise.worthTelling ? lost.indexOf(most) : -1,
      misleading: run.turns.filter(misleads),
    };
  }

  return Object.freeze({ scored, worth });
})();
