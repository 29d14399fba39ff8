"use strict";

/**
 * Where a walk stands, as far as that follows from its journal alone; see diagnose/walking/standing.py.
 *
 * The order of the questions is the order of safety: a stop before anything, the danger questions before any
 * work, gas smelt for after hands were on it, and nothing cured before the cured question.
 */
Diagnose.standing = (() => {
  const P = () => Diagnose.past;

  /**
   * What comes next; `of` is the check, fact, cut set or referral that it is about.
   * @returns {{asking: string, of: string}} asking: stopped, cleared, left-off, cured, unsure,
   *   danger-question, fact, misfit, cured-when, or reckoned (the route says what comes next)
   */
  function standing(past, stoppedBy) {
    const stopped = Diagnose.stops.stopReferrals(past);
    if (stopped.length) return { asking: "stopped", of: stopped[0] };
    // A clearing from before the walk was left off says nothing about a stop since then.
    const resumed = P().lastResumed(past);
    const cleared = past.live.some((line) => line.kind === "cleared" && line.number > resumed);
    if (stoppedBy !== null && !cleared) return { asking: "cleared", of: stoppedBy };
    if (past.live.some((line) => line.kind === "left-off" && line.number > resumed)) {
      return { asking: "left-off", of: "" };
    }
    const cured = P().cured(past);
    if (cured !== null) return { asking: "cured", of: cured };
    return dangerQuestions(past) ?? facts(past) ?? afterRemedy(past) ?? { asking: "reckoned", of: "" };
  }

  function dangerQuestions(past) {
    const answered = P().askedSince(past, P().dangerAnswersFrom(past));
    const due = past.tree.askFirst.find((id) => !answered.has(id));
    return due === undefined ? null : danger(past, due);
  }

  /** The question, or the offer of help if *not sure* was the last thing said to it. */
  function danger(past, check) {
    const from = P().dangerAnswersFrom(past);
    const about = past.live.filter((line) => line.number > from && (line.kind === "tried"
      || (["finding", "unsure"].includes(line.kind) && line.subject === check)));
    const unsure = about.length > 0 && about[about.length - 1].kind === "unsure";
    return { asking: unsure ? "unsure" : "danger-question", of: check };
  }

  /** Gas smelt for anew. */
  const askSmell = (past) => danger(past, P().SMELL_OF_GAS);

  function facts(past) {
    const known = P().findings(past);
    for (const [fact, fits] of Object.entries(past.tree.appliesTo)) {
      if (!Object.hasOwn(known, fact)) return { asking: "fact", of: fact };
      const { answer } = known[fact];
      if (!fits.includes(answer) && answer !== "not-sure") return { asking: "misfit", of: fact };
    }
    return null;
  }

  function afterRemedy(past) {
    const waiting = P().toBeCured(past);
    // Before anything can count as cured, hands that were on the gas in an answer taken back matter as well.
    const hands = P().gasRemedies(past, true).size > 0
      || (waiting !== null && P().gasRemedies(past, false).size > 0);
    if (hands && Object.hasOwn(past.tree.checks, P().SMELL_OF_GAS)) return askSmell(past);
    return waiting === null ? null : { asking: "cured-when", of: waiting };
  }

  /** Why a danger question that was answered in this walk is asked anew, or nothing. */
  function askedAgainBecause(past, check) {
    const { words } = Diagnose;
    if (!P().askedSince(past, 0).has(check)) return "";
    if (P().askedSince(past, P().dangerAnswersFrom(past)).has(check)) return words.handsOnGas;
    const resumed = past.live.filter((line) => line.kind === "resumed");
    const byTime = resumed.length && resumed[resumed.length - 1].subject === P().BY_TIME;
    return byTime ? words.halfAnHour : words.takenUp;
  }

  return Object.freeze({ standing, askSmell, askedAgainBecause });
})();
