"use strict";

/**
 * What a journal says: which of its lines still hold, and what follows from them; see
 * diagnose/walking/past.py and renamed.py.
 *
 * Going back adds a line that takes an earlier one back; nothing is ever removed. So reading the same lines
 * always gives the same past.
 */
Diagnose.past = (() => {
  const SMELL_OF_GAS = "smell-of-gas";
  const CO_ALARM = "co-alarm";
  const BY_TIME = "time";
  const CHANGED_TREE = "changed-tree";
  const STEPS = ["finding", "tried", "cured-when", "unsure"];
  const DANGER_ANSWERS_HOLD = 30 * 60 * 1000;
  const TRIES_ARE_KEPT = 24 * 60 * 60 * 1000;

  /** The check or fact of that id, or null. */
  function checkOf(tree, id) {
    if (Object.hasOwn(tree.checks, id)) return tree.checks[id];
    return Object.hasOwn(tree.facts, id) ? tree.facts[id] : null;
  }

  /** The causes of a cut set, by its id; empty where the tree has no such cut set. */
  function causesOf(tree, cutSet) {
    const found = tree.hypotheses.find((each) => each.id === cutSet);
    return found === undefined ? [] : found.causes.map((id) => tree.causes[id]);
  }

  /** Every hazard of a cut set's remedy: those of its causes and of what is done about them. */
  function remedyHazards(tree, cutSet) {
    return new Set(causesOf(tree, cutSet).flatMap((cause) => [...cause.hazards, ...cause.remedy.hazards]));
  }

  /** The causes of a cut set as they are said. */
  function inWords(tree, cutSet) {
    return causesOf(tree, cutSet).map((cause) => cause.says).join(" and ") || cutSet;
  }

  /** Whether this answer ends a walk; at a danger question *not sure* does, too. */
  function stops(tree, check, answer) {
    return check.stopOn.includes(answer) || (answer === "not-sure" && tree.askFirst.includes(check.id));
  }

  /** The band that holds a value; the top of the range belongs to the last one. Null outside the range. */
  function bandOf(check, value) {
    const { reading, bands } = check;
    if (reading === null || !(reading.low <= value && value <= reading.high)) return null;
    const holding = bands.filter((band) => band.low <= value);
    return holding.length ? holding[holding.length - 1].id : null;
  }

  /** The cut set's id today: each cause by its own or an old id, in file order; or null. */
  function cutSetToday(tree, cutSet) {
    const order = Object.keys(tree.causes);
    const now = new Map(order.flatMap((id) => tree.causes[id].was.map((old) => [old, id])));
    const causes = [...new Set(cutSet.split("+").map((id) => now.get(id) ?? id))];
    causes.sort((one, other) => order.indexOf(one) - order.indexOf(other));
    const id = causes.join("+");
    return id !== "not-listed" && tree.hypotheses.some((each) => each.id === id) ? id : null;
  }

  /** The line with the ids of this tree, or null if it speaks of something that the tree does not have. */
  function placed(tree, line) {
    if (line.kind === "tried" || line.kind === "cured-when") {
      const subject = cutSetToday(tree, line.subject);
      return subject === null ? null : { ...line, subject };
    }
    if (line.kind !== "finding" && line.kind !== "unsure") return line;
    const check = checkOf(tree, line.subject)
      ?? Object.values(tree.checks).find((each) => each.was.includes(line.subject));
    if (check === undefined || check === null) return null;
    const known = line.answer === "not-sure" || check.answers.some((each) => each.id === line.answer);
    if (line.kind === "unsure" || (line.value === null && known)) return { ...line, subject: check.id };
    if (line.value === null) return null;
    const band = bandOf(check, line.value);
    if (band !== null) return { ...line, subject: check.id, answer: band };
    if (check.reading !== null || !known) return null;
    return { ...line, subject: check.id, value: null, uncertainty: null };
  }

  /** What a journal holds and this tree has no place for: [id, answer], each once. */
  function withoutPlace(tree, journal) {
    const takenBack = takenBackIn(journal);
    const dropped = journal
      .filter((line, at) => ["finding", "tried"].includes(line.kind) && !takenBack.has(at + 1))
      .filter((line) => placed(tree, line) === null)
      .map((line) => [line.subject, line.answer]);
    return [...new Map(dropped.map((each) => [JSON.stringify(each), each])).values()];
  }

  function takenBackIn(journal) {
    return new Set(journal.filter((line) => line.kind === "back").map((line) => Number(line.subject)));
  }

  /**
   * The journal as this tree reads it.
   * @param {Line[]} journal
   * @returns {{tree: Tree, journal: Line[], lines: Line[], live: Line[]}} lines carry their `number`; those in
   *   `live` hold, those only in `lines` were taken back
   */
  function read(tree, journal) {
    const takenBack = takenBackIn(journal);
    const lines = journal
      .map((line, at) => ({ ...line, number: at + 1 }))
      .map((line) => placed(tree, line))
      .filter((line) => line !== null);
    const live = lines.filter((line) => !takenBack.has(line.number));
    return { tree, journal, lines, live };
  }

  /** The latest finding of each check and fact. */
  function findings(past) {
    const found = past.live.filter((line) => line.kind === "finding").map((line) => [line.subject, {
      answer: line.answer, value: line.value, uncertainty: line.uncertainty }]);
    return Object.fromEntries(found);
  }

  /** Cut set -> `not-cured` or `could-not`; one that waits for its cured question is not here. */
  function tried(past) {
    const became = {};
    for (const line of past.live) {
      if (line.kind === "tried" && line.answer !== null) became[line.subject] = line.answer;
      if (line.kind === "cured-when" && line.answer === "no") became[line.subject] = "not-cured";
    }
    const told = ([, how]) => how === "not-cured" || how === "could-not";
    return Object.fromEntries(Object.entries(became).filter(told));
  }

  /** What the arithmetic is asked about. */
  function situation(past) {
    const found = Object.entries(findings(past)).filter(([id]) => Object.hasOwn(past.tree.checks, id));
    return { findings: Object.fromEntries(found), tried: tried(past) };
  }

  /** The cut set whose remedy "works now", while the cured question is open; a yes holds until a resume. */
  function toBeCured(past) {
    let waiting = null;
    for (const line of past.live) {
      if (line.kind === "tried" && line.answer === "cured") waiting = line.subject;
      else if (line.subject === waiting && line.kind === "tried") waiting = null;
      else if (line.subject === waiting && line.kind === "cured-when") {
        if (line.answer === "no" || line.number > lastResumed(past)) waiting = null;
      }
    }
    return waiting;
  }

  /** The cut set that a yes to the cured question points to, or null. */
  function cured(past) {
    const yes = past.live.filter((line) => line.kind === "cured-when" && line.answer === "yes").pop();
    return yes !== undefined && yes.number > lastResumed(past) ? yes.subject : null;
  }

  const latest = (lines) => lines.reduce((most, line) => Math.max(most, line.number), 0);

  /** The number of the line by which the walk was last taken up again, or 0. */
  function lastResumed(past) {
    return latest(past.live.filter((line) => line.kind === "resumed" && line.subject !== BY_TIME));
  }

  /** Answers to danger questions hold from this line on. */
  function dangerAnswersFrom(past) {
    return latest(past.live.filter((line) => line.kind === "resumed"));
  }

  /** The latest line of each check that was asked after that line (findings given ahead were not). */
  function askedSince(past, number) {
    const asked = past.live.filter((line) => line.kind === "finding" && !line.ahead && line.number > number);
    return new Map(asked.map((line) => [line.subject, line]));
  }

  /** Whether a danger question was answered half an hour ago (or later than now: clocks are set). */
  function dangerAnswersOld(past, now) {
    const asked = askedSince(past, dangerAnswersFrom(past));
    const old = (line) => !(Math.abs(now - Date.parse(line.time)) <= DANGER_ANSWERS_HOLD);
    return past.tree.askFirst.some((id) => asked.has(id) && old(asked.get(id)));
  }

  /** Remedies under gas that were done, or left, since gas was last smelt for: those that hold, or not. */
  function gasRemedies(past, live) {
    const since = askedSince(past, 0).get(SMELL_OF_GAS)?.number ?? 0;
    const holds = new Set(past.live.map((line) => line.number));
    return new Set(
      past.lines
        .filter((line) => line.kind === "tried" && line.number > since && holds.has(line.number) === live)
        .map((line) => line.subject)
        .filter((subject) => remedyHazards(past.tree, subject).has("gas")),
    );
  }

  /** Whether a line used up a try: a check that starts the appliance, or a remedy's trial. */
  function isStart(tree, line) {
    if (line.kind === "tried") return line.answer === "cured" || line.answer === "not-cured";
    return line.kind === "finding" && (checkOf(tree, line.subject)?.starts ?? false);
  }

  /** How many tries are used up; those taken back, or without a place by now, are counted for a day. */
  function starts(past, now) {
    const holds = new Set(past.live.map((line) => line.number));
    const counted = (line, at) => holds.has(at + 1) || now - Date.parse(line.time) <= TRIES_ARE_KEPT;
    return past.journal.filter((line, at) => counted(line, at) && isStart(past.tree, line)).length;
  }

  /** Whether the mains were restored in a line that holds or was taken back. */
  function restored(past) {
    return past.lines.some((line) => {
      if (line.kind === "tried" && line.answer !== "could-not") {
        return causesOf(past.tree, line.subject).some((cause) => cause.remedy.restoresMains);
      }
      return line.kind === "finding" && checkOf(past.tree, line.subject).restoresMains;
    });
  }

  /** Where somebody has been already: getting there is paid once. */
  function places(past) {
    const at = past.live.flatMap((line) => {
      if (line.kind === "finding") return [checkOf(past.tree, line.subject).at];
      return line.kind === "tried" ? causesOf(past.tree, line.subject).map((each) => each.remedy.at) : [];
    });
    return new Set(at.filter((place) => place !== null));
  }

  return Object.freeze({ SMELL_OF_GAS, CO_ALARM, BY_TIME, CHANGED_TREE, STEPS, TRIES_ARE_KEPT, checkOf,
    causesOf, remedyHazards, inWords, stops, bandOf, withoutPlace, read, findings, tried, situation, toBeCured,
    cured, lastResumed, dangerAnswersFrom, askedSince, dangerAnswersOld, gasRemedies, isStart, starts, restored,
    places });
})();
