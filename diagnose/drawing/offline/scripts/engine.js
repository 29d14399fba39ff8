"use strict";

/**
 * The engine of the page: a walk as a pure function of its tree, its journal and the time.
 *
 * All scripts are classic scripts in strict mode, put one after the other into one <script> by page.py in
 * the order of its `ENGINE`; each hangs what others use on the one global name, `Diagnose`:
 *
 *     Diagnose.numbers = (() => { ...; return Object.freeze({ logNormalCdf }); })();
 *
 * Nothing here knows the document or the storage. Texts of trees reach the document by textContent alone.
 *
 * The data that it walks on are described in `data.js`.
 *
 * A WALK is {tree, journal} and plain JSON, so that a screen can keep it after each answer. The journal's
 * lines are those of diagnose/cases/records.py (Entry): only ever added, numbered from 1 by their place.
 *
 * @typedef {{kind: string, subject: string, answer: ?string, value: ?number, uncertainty: ?number,
 *   ahead: boolean, time: string}} Line time: ISO 8601, UTC
 *
 * @typedef {object} Setting what earlier walks and the place mean for this one; made by `Engine.setting`
 * @property {string[]} numbers emergency numbers, the one to call first in front
 * @property {string} register where gas fitters stand in this country; ""
 * @property {string[]} units that people of this country read beside those of the checks
 * @property {Object<string, string>} ownNumbers referral -> the number that the owner set
 * @property {Object<string, string>} whereabouts part -> where it is
 * @property {string[]} cannot
 * @property {string} alarmEnded
 * @property {string[]} due what the card says is due, as sentences
 * @property {string} role
 * @property {?string} stoppedBy the referral that stopped the last walk, while nobody has cleared it
 * @property {number} startedBefore starts by earlier walks of this symptom within the last day
 *
 * VIEWS. `Engine.view` returns one plain object; the fields are those of diagnose/walking/views.py in camel
 * case, and `kind` is one of:
 *
 *     question          check ask how choices measures alsoReadIn effort where needs askFirst again fact
 *                       starts triesLeft             takes answer, reading (where `measures`), notSure
 *     unsure            check ask how choices measures advice       takes answer, notSure (which stops)
 *     remedy            remedy says do how choices effort where needs triesLeft  takes answer with cured,
 *                       not-cured or could-not
 *     cured-question    remedy says ask minutes choices             takes answer yes or no
 *     cleared-question  ask stoppedBy choices                       takes answer yes or no
 *     cured             cause says                                  (and what every end has)
 *     referred          referral register ownNumber
 *     stopped           referrals because first ownNumbers
 *     left-off          nothing more; goes on by resume
 *     not-for-this      fact ask fits has
 *     handed-over       tree says carry here elsewhere; `here`: whether the page holds that tree, `elsewhere`:
 *                       its symptom where it does not, "" where that is not known
 *
 * Every view has: symptom, cautions (to be shown now, in full, first), notices (sentences, second), ranking
 * ([{cause, says, share, cases}] in falling share; empty while nothing is reckoned), numbers, canGoBack, and
 * `commands`, the operations that are possible: of answer, reading, notSure, back, why, leaveOff, danger,
 * resume. Every end has: state, prevention [{says, prevent}], leftAlone [{says, why}], done {minutes, wait,
 * price}, certificate.
 *
 * OPERATIONS return a new journal and never change the one given. What is not possible where the walk
 * stands throws `Diagnose.NotNow`, and a reading that cannot be throws `Diagnose.BadReading`; `message` is
 * made for people. `now` is a number of milliseconds, as Date.now() gives it.
 *
 *     Engine.setting(data, tree, walks, now, current)  walks: all that are kept, newest first, each {id,
 *                                                      tree: id, journal, state}; `current` this one, or null
 *     Engine.begin(tree, now, setting, carried)        a new journal; `carried` findings from another tree
 *     Engine.view(tree, journal, now, setting)
 *     Engine.answer(tree, journal, answer, now, setting)
 *     Engine.reading(tree, journal, value, uncertainty, now, setting)   uncertainty null: the check's own
 *     Engine.notSure / danger / leaveOff (tree, journal, now, setting)
 *     Engine.back(tree, journal, now, setting, steps)  takes back the last answers, one if not said
 *     Engine.resume(tree, journal, now, setting, digest)   when a kept walk is opened; `digest` of its tree then
 *     Engine.refresh(tree, journal, now, setting)      when the page comes back into sight: danger answers
 *                                                      older than half an hour are asked again
 *     Engine.why(tree, journal, now, setting)          {separates: [says], leads: [{answers, step, says}],
 *                                                      sure: ranking line or null}
 *     Engine.intervals(tree, journal)                  {cause -> [low, high]}; slow, so ask when it is shown
 *     Engine.parseReading(check, text)                 the value in the check's unit
 *     Engine.state(tree, journal, now, setting)        open, left-off, cured, referred or stopped
 *     Engine.dangerNow(setting)                        the stop for danger told before any walk
 *     Engine.carried(handedOver, one, other)           findings that the other tree may begin with
 */
Diagnose.engine = (() => {
  const P = Diagnose.past;
  const W = Diagnose.walking;
  const refuse = (text) => {
    throw new Diagnose.NotNow(text);
  };

  /** The view where a walk stands; see above. */
  const view = (tree, journal, now, given) => Diagnose.showing.show(W.look(tree, journal, given));

  /** How a walk stands: open, left-off, cured, referred or stopped. */
  const state = (tree, journal, now, given) => view(tree, journal, now, given).state ?? "open";

  function note(tree, journal, now, given, kind, subject = "", answer = null) {
    return W.goneOn(tree, W.noted(journal, now, kind, subject, answer), now, given);
  }

  /** A new walk; `carried` are findings from a tree that handed over. */
  function begin(tree, now, given, carried = []) {
    let journal = [];
    for (const finding of [...tree.ahead, ...carried]) {
      const check = P.checkOf(tree, finding.check);
      const known = check !== null && [...check.answers.map((each) => each.id), "not-sure"].includes(finding.answer);
      if (known) journal = W.notedFinding(journal, now, finding, true);
    }
    return W.goneOn(tree, journal, now, given);
  }

  /** The id of one of the view's choices, or `not-sure`. */
  function answer(tree, journal, given, now, where) {
    const seen = view(tree, journal, now, where);
    if (given === "not-sure") return notSure(tree, journal, now, where);
    const choices = (seen.choices ?? []).map((each) => each.id);
    if (!choices.length) refuse("Nothing is asked here.");
    if (!choices.includes(given)) {
      refuse(`"${given}" is no answer here. Answers are: ${choices.join(", ")}.`);
    }
    const [kind, subject] = {
      question: ["finding", seen.check],
      unsure: ["finding", seen.check],
      remedy: ["tried", seen.remedy],
      "cured-question": ["cured-when", seen.remedy],
      "cleared-question": ["cleared", seen.stoppedBy?.id],
    }[seen.kind];
    return note(tree, journal, now, where, kind, subject, given);
  }

  /** A measured value in the check's unit; without an uncertainty the check's own is taken. */
  function reading(tree, journal, value, uncertainty, now, where) {
    const seen = view(tree, journal, now, where);
    if (!seen.measures) refuse("No reading is asked for here.");
    if (uncertainty !== null && !(uncertainty > 0 && uncertainty < Infinity)) {
      throw new Diagnose.BadReading("An uncertainty is above zero.");
    }
    const check = P.checkOf(tree, seen.check);
    Diagnose.readings.inRange(value, check.reading);
    const finding = {
      check: check.id,
      answer: P.bandOf(check, value),
      value,
      uncertainty: uncertainty ?? check.reading.uncertainty,
    };
    return W.goneOn(tree, W.notedFinding(journal, now, finding, false), now, where);
  }

  /** *Not sure*; at a danger question it first brings the offer of help, then the stop. */
  function notSure(tree, journal, now, where) {
    const seen = view(tree, journal, now, where);
    if (seen.kind === "question" && seen.askFirst) return note(tree, journal, now, where, "unsure", seen.check);
    if (seen.kind === "question" || seen.kind === "unsure") {
      return note(tree, journal, now, where, "finding", seen.check, "not-sure");
    }
    if (seen.kind === "cured-question") return note(tree, journal, now, where, "cured-when", seen.remedy, "no");
    if (seen.kind === "cleared-question") {
      return note(tree, journal, now, where, "cleared", seen.stoppedBy.id, "no");
    }
    if (seen.kind === "remedy") return refuse("Say whether it works now, is no better, or could not be done.");
    return refuse("Nothing is asked here.");
  }

  /** Ends the walk in a stop, without a further question. */
  function danger(tree, journal, now, where) {
    if (view(tree, journal, now, where).kind === "stopped") return journal;
    return note(tree, journal, now, where, "danger", tree.dangerReferrals[0]);
  }

  /** Puts the walk aside, to be resumed. */
  function leaveOff(tree, journal, now, where) {
    if (view(tree, journal, now, where).state !== undefined) refuse("The walk has ended here already.");
    return note(tree, journal, now, where, "left-off");
  }

  /** Takes back the last answers; never out of a stop. */
  function back(tree, journal, now, where, steps = 1) {
    const seen = view(tree, journal, now, where);
    if (seen.kind === "stopped") refuse("There is no way back out of a stop.");
    if (seen.kind === "left-off") refuse("The walk is left off; take it up again first.");
    const numbers = Diagnose.showing.backwards(P.read(tree, journal)).slice(0, Math.max(steps, 0));
    if (!numbers.length) refuse("There is nothing to go back to.");
    const lines = numbers.reduce((all, number) => W.noted(all, now, "back", String(number)), journal);
    return W.goneOn(tree, lines, now, where);
  }

  /**
   * Takes up a walk again; the danger questions come first. A changed tree is said in the notices.
   * @param {string} digest of the tree when the walk was kept
   */
  function resume(tree, journal, now, where, digest = tree.digest) {
    if (Diagnose.stops.stopReferrals(P.read(tree, journal)).length) {
      refuse("This walk was stopped, so it is not taken up again. Somebody qualified has to look first.");
    }
    const changed = digest !== tree.digest;
    const found = P.findings(P.read(tree, journal));
    let lines = journal;
    for (const fact of tree.ahead) {
      if (!Object.hasOwn(found, fact.check)) lines = W.notedFinding(lines, now, fact, true);
    }
    lines = W.noted(lines, now, "resumed", changed ? P.CHANGED_TREE : "");
    for (const [subject, given] of P.withoutPlace(tree, journal)) {
      lines = W.noted(lines, now, "dropped", subject, given);
    }
    return W.goneOn(tree, lines, now, where);
  }

  /** The journal with what time has brought: danger answers older than half an hour are asked again. */
  const refresh = (tree, journal, now, where) => W.goneOn(tree, journal, now, where);

  /** Why this step: the causes that its answers tell apart, and where each answer leads, in words. */
  function why(tree, journal, now, where) {
    const scene = W.look(tree, journal, where);
    if (scene.step === null || !["check", "remedy"].includes(scene.step.kind)) {
      refuse("This is asked of everybody, for safety or to be sure, so nothing was reckoned.");
    }
    return Diagnose.reasons.why(scene);
  }

  /** Cut set -> the 5 and 95 % points of its share; a second or so on a slow phone. */
  function intervals(tree, journal) {
    return Diagnose.intervals.intervals(tree, P.situation(P.read(tree, journal)));
  }

  /** The stop for danger told before any walk. */
  function dangerNow(where) {
    const { dangerTold, common } = Diagnose.data;
    return {
      kind: "stopped", state: "stopped", tree: null, symptom: Diagnose.words.dangerTold, cautions: [], notices: [],
      ranking: [], numbers: where.numbers, canGoBack: false, commands: [], prevention: [], leftAlone: [],
      done: { minutes: 0, wait: 0, price: 0 }, certificate: Diagnose.words.noCertificate,
      referrals: dangerTold.referrals.map((id) => common.referrals[id]),
      because: Diagnose.words.danger,
      first: dangerTold.first.replace("{number}", where.numbers[0]),
      ownNumbers: where.ownNumbers,
    };
  }

  /** Of findings made in one tree, those that the other may begin with: where it asks the very same. */
  function carried(handedOver, one, other) {
    const same = (id) => {
      const [here, there] = [P.checkOf(one, id), P.checkOf(other, id)];
      const asked = (each) => JSON.stringify([each.ask, each.answers, each.reading, each.bands]);
      return here !== null && there !== null && asked(here) === asked(there);
    };
    const dangers = [...one.askFirst, ...other.askFirst];
    return handedOver.carry.filter(({ check }) => !dangers.includes(check) && same(check));
  }

  return Object.freeze({ setting: Diagnose.setting, begin, view, state, answer, reading, notSure, danger, leaveOff, back, resume,
    refresh, why, intervals, dangerNow, carried, parseReading: Diagnose.readings.parseReading });
})();
