"use strict";

/**
 * The part of a walk that keeps: lines behind the journal, and where it stands after them; see
 * diagnose/walking/keeping.py. Journals are never changed: each function returns a new one.
 */
Diagnose.walking = (() => {
  /** Where no danger question is asked anew. */
  const AT_REST = ["stopped", "cleared", "left-off", "cured", "misfit"];
  /** Where nothing is reckoned. */
  const WITHOUT_FIGURES = ["stopped", "cleared", "unsure", "danger-question", "fact", "left-off", "misfit"];

  /** The journal with one more line. */
  function noted(journal, now, kind, subject = "", answer = null, more = {}) {
    const time = new Date(now).toISOString();
    const line = { kind, subject, answer, value: null, uncertainty: null, ahead: false, time, ...more };
    return [...journal, line];
  }

  /** The journal with a finding. */
  function notedFinding(journal, now, finding, ahead) {
    const { value = null, uncertainty = null } = finding;
    return noted(journal, now, "finding", finding.check, finding.answer, { value, uncertainty, ahead });
  }

  /** How many tries are used up, as far as can be told at the latest line. */
  function starts(past, setting) {
    const last = past.journal[past.journal.length - 1];
    const now = last === undefined ? 0 : Date.parse(last.time);
    return Diagnose.past.starts(past, now) + setting.startedBefore;
  }

  /** Where a journal leads: what is asked there, and the step if the route had to say it. */
  function comeTo(past, setting) {
    const used = starts(past, setting);
    const standing = Diagnose.standing.standing(past, setting.stoppedBy);
    if (standing.asking !== "reckoned") return { standing, step: null, barred: false, starts: used };
    return { ...Diagnose.stepping.step(past, used), starts: used };
  }

  let lately = { tree: null, journal: null, setting: null, scene: null };

  /** Everything that a view is made of; the last one is kept, for a view is looked at more than once. */
  function look(tree, journal, setting) {
    if (lately.tree !== tree || lately.journal !== journal || lately.setting !== setting) {
      lately = { tree, journal, setting, scene: scene(tree, journal, setting) };
    }
    return lately.scene;
  }

  function scene(tree, journal, setting) {
    const past = Diagnose.past.read(tree, journal);
    const come = comeTo(past, setting);
    const bare = WITHOUT_FIGURES.includes(come.standing.asking);
    const ranking = bare ? [] : Diagnose.evidence.ranking(tree, Diagnose.past.situation(past));
    const doubts = come.step === null ? [] : Diagnose.doubts.before(past, come.step);
    return { past, setting, ...come, ranking, doubts };
  }

  /** To the next view: what it brings (danger answers that are too old, cautions) is noted. */
  function goneOn(tree, journal, now, setting) {
    let lines = journal;
    const before = Diagnose.past.read(tree, lines);
    const { asking } = Diagnose.standing.standing(before, setting.stoppedBy);
    if (!AT_REST.includes(asking) && Diagnose.past.dangerAnswersOld(before, now)) {
      lines = noted(lines, now, "resumed", Diagnose.past.BY_TIME);
    }
    const past = Diagnose.past.read(tree, lines);
    const { standing, step } = comeTo(past, setting);
    for (const id of Diagnose.cautioning.notYetShown(past, standing, step)) {
      lines = noted(lines, now, "shown", id);
    }
    return lines;
  }

  /**
   * Answer -> where the walk would come to, were it given to this step now; nothing is noted.
   * @returns {{answer: string, step: {kind: string, of: string}}[]}
   */
  function leadsTo(past, step, setting) {
    const kind = step.kind === "check" ? "finding" : "tried";
    const last = past.journal[past.journal.length - 1];
    const found = [];
    for (const answer of Diagnose.stepping.answersOf(past.tree, step).filter((each) => each !== "cured")) {
      const journal = noted(past.journal, Date.parse(last.time), kind, step.of, answer);
      const come = comeTo(Diagnose.past.read(past.tree, journal), setting);
      const { asking, of } = come.standing;
      if (come.step !== null) found.push({ answer, step: come.step });
      else if (asking === "stopped") found.push({ answer, step: { kind: "stop", of } });
      else if (asking === "danger-question") found.push({ answer, step: { kind: "check", of } });
    }
    return found;
  }

  return Object.freeze({ noted, notedFinding, look, goneOn, leadsTo });
})();
