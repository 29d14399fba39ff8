"use strict";

/**
 * Which cautions a step shows: the tree's before the first step, a hazard's before the first that carries it,
 * and without a working alarm that of carbon monoxide before every start; see diagnose/walking/cautioning.py.
 */
Diagnose.cautioning = (() => {
  const CARBON_MONOXIDE = "carbon-monoxide";
  const ASKING_A_STEP = ["unsure", "danger-question", "fact", "reckoned"];

  /** The hazards that a step carries; the fixed danger questions and facts carry none. */
  function hazardsOf(past, step) {
    if (step === null) return new Set();
    if (step.kind === "remedy") return Diagnose.past.remedyHazards(past.tree, step.of);
    const check = step.kind === "check" ? Diagnose.past.checkOf(past.tree, step.of) : null;
    return new Set(check === null || check.fixed || check.fact ? [] : check.hazards);
  }

  /** The ids of the cautions that must have been shown before this is asked. */
  function due(past, standing, step) {
    if (!ASKING_A_STEP.includes(standing.asking)) return [];
    if (step !== null && step.kind !== "check" && step.kind !== "remedy") return [];
    const here = hazardsOf(past, step ?? { kind: "check", of: standing.of });
    const carried = Object.entries(past.tree.hazards)
      .filter(([id, hazard]) => here.has(id) && hazard.caution !== null)
      .map(([, hazard]) => hazard.caution);
    return [...new Set([...past.tree.cautions, ...carried])];
  }

  /** Those of them that nobody has seen since the walk was last taken up. */
  function notYetShown(past, standing, step) {
    const since = Diagnose.past.lastResumed(past);
    const shown = past.live.filter((line) => line.kind === "shown" && line.number > since);
    const seen = new Set(shown.map((line) => line.subject));
    return due(past, standing, step).filter((id) => !seen.has(id));
  }

  /** The cautions that a view shows: those noted since the last answer, and what every start shows. */
  function cautionsNow(past, standing, step) {
    const others = past.live.filter((line) => line.kind !== "shown").map((line) => line.number);
    const last = Math.max(0, ...others);
    const lately = past.live.filter((line) => line.kind === "shown" && line.number > last);
    const now = due(past, standing, step).filter((id) => lately.some((line) => line.subject === id));
    now.push(...notYetShown(past, standing, step));
    if (startsWithoutAlarm(past, step)) now.unshift(CARBON_MONOXIDE);
    const texts = past.tree.cautionTexts;
    return [...new Set(now)].filter((id) => Object.hasOwn(texts, id)).map((id) => texts[id]);
  }

  function startsWithoutAlarm(past, step) {
    const alarm = Diagnose.past.findings(past)[Diagnose.past.CO_ALARM];
    if (step === null || alarm === undefined || alarm.answer !== "none-fitted") return false;
    const check = step.kind === "check" ? Diagnose.past.checkOf(past.tree, step.of) : null;
    return step.kind === "remedy" || (check !== null && check.starts);
  }

  return Object.freeze({ hazardsOf, notYetShown, cautionsNow });
})();
