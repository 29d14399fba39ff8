"use strict";

/**
 * What the lines of a round come to: marks, facts, what is open, what is held back; see diagnose/rounds/past.py,
 * presence.py and going.py. Everything here is a function of the round, its lines and the card's facts.
 *
 * A LINE is {time, noted, subject, answer, ofDate}, only ever added, numbered from 1 by its place; `noted` is mark,
 * fact, back, danger or cleared, as in diagnose/cases/rounds_records.py; `ofDate` says that only its date was wrong. A
 * ROUND is what rounds_data.py wrote of it, with `id`, and its tasks by id under `byId`.
 */
Diagnose.roundsReading = (() => {
  const NOT_SURE = "not-sure";
  const MINUTE = 60000;

  /**
   * A round of the page, or null where it holds none of that name. Of a short one of so many minutes `only` has the
   * tasks, and the order begins with them; where the page offers none of that length it is the whole.
   */
  function round(id, minutes = null) {
    const held = Diagnose.data.rounds;
    if (!held || !Object.hasOwn(held.rounds, id)) return null;
    const known = held.rounds[id];
    const byId = Object.fromEntries(known.tasks.map((task) => [task, { id: task, ...held.tasks[task] }]));
    const short = known.shorts.find((each) => each.minutes === minutes);
    if (short === undefined) return { id, ...known, byId, short: null, only: null };
    const order = [...short.tasks, ...known.order.filter((task) => !short.tasks.includes(task))];
    return { id, ...known, order, byId, short, only: new Set(short.tasks) };
  }

  /** The lines that were not taken back, with their numbers; the `back` lines themselves are left out. */
  function standing(lines) {
    const taken = new Set();
    const kept = [];
    for (let at = lines.length - 1; at >= 0; at -= 1) {
      if (taken.has(String(at + 1))) continue;
      if (lines[at].noted === "back") taken.add(lines[at].subject);
      else kept.unshift({ ...lines[at], number: at + 1 });
    }
    return kept;
  }

  /**
   * What the lines come to.
   * @returns {{marks: Map<string, object>, every: object[], facts: Object<string, string>, live: object[],
   *   dropped: string[], stoppedBy: ?string}} `marks`: the latest of each task in the order in which they were
   *   made, `every`: all that stand, oldest first, those of tasks that the round has no more among them
   */
  function past(of, lines, carded) {
    const names = new Map(of.tasks.flatMap((id) => of.byId[id].was.map((old) => [old, id])));
    of.tasks.forEach((id) => names.set(id, id));
    const found = { marks: new Map(), every: [], facts: {}, live: standing(lines), dropped: [], stoppedBy: null };
    for (const line of found.live) {
      if (line.noted === "fact") found.facts[line.subject] = line.answer ?? NOT_SURE;
      else if (line.noted === "danger") found.stoppedBy = line.answer ?? "workshop";
      else if (line.noted === "cleared" && line.answer === "yes") found.stoppedBy = null;
      else if (line.noted === "mark") mark(found, of.byId[names.get(line.subject)] ?? null, line);
    }
    Object.assign(found.facts, carded);
    return found;
  }

  function mark(found, task, line) {
    const known = Diagnose.data.rounds.ends.includes(line.answer) ? line.answer : "not-done";
    const end = known === "not-fitted" && task?.neverMissing ? "not-done" : known;
    const ofDate = end === "wrong" && line.ofDate === true;
    const made = { task: task?.id ?? line.subject, end, time: line.time, number: line.number, ofDate };
    found.every.push(made);
    if (task === null) {
      if (!found.dropped.includes(line.subject)) found.dropped.push(line.subject);
      return;
    }
    found.marks.delete(task.id);
    found.marks.set(task.id, made);
  }

  /** Whether a task is for this vehicle; what is not known leaves it in. */
  const isThere = (task, facts) =>
    Object.entries(task.appliesTo).every(([fact, fits]) => [...fits, NOT_SURE].includes(facts[fact] ?? NOT_SURE));

  /** The tasks that are there for this vehicle, in the round's order. */
  const there = (of, facts) => of.tasks.filter((id) => isThere(of.byId[id], facts));

  /** The first fact that decides whether the task is there and that nobody has been asked yet; else null. */
  function toAsk(task, facts) {
    for (const [fact, fits] of Object.entries(task.appliesTo)) {
      const check = Diagnose.data.common.facts[fact];
      const decides = check !== undefined && check.answers.some((answer) => !fits.includes(answer.id));
      if (decides && !Object.hasOwn(facts, fact)) return check;
    }
    return null;
  }

  /** Everything that has to come before a task, by whatever way. */
  function earlier(of, id) {
    const found = new Set();
    const ahead = [...(of.after[id] ?? [])];
    while (ahead.length) {
      const each = ahead.pop();
      if (!found.has(each)) {
        found.add(each);
        ahead.push(...(of.after[each] ?? []));
      }
    }
    return found;
  }

  /** The ends of a task before that hold another one back; see holding_ends of diagnose/rounds/past.py. */
  function holdingEnds(before, task) {
    const { mild } = Diagnose.data.rounds;
    const harmless = task.hazards.every((hazard) => hazard === "none");
    if (harmless || (task.safety && !before.safety)) return [];
    const sharp = task.hands !== "look" && task.hazards.some((hazard) => !mild.includes(hazard));
    return sharp ? ["not-done", "wrong"] : ["not-done"];
  }

  /**
   * Tasks that are not to be done now -> the tasks before them for whose sake: those for safety by whatever way,
   * others where they come right before, or before what itself has to wait, which holds it back as well.
   */
  function heldBack(of, among, marks) {
    const found = new Map();
    const nearTo = new Map();
    const look = (id) => {
      if (nearTo.has(id)) return;
      const near = new Set(of.after[id] ?? []);
      nearTo.set(id, near);
      for (const other of of.after[id] ?? []) {
        look(other);
        const settled = !["not-done", "wrong"].includes(marks.get(other)?.end);
        if (among.includes(other) && !found.has(other) && settled) continue;
        for (const each of nearTo.get(other)) near.add(each);
      }
      if (!among.includes(id)) return;
      const above = earlier(of, id);
      const waiting = new Set((of.after[id] ?? [])
        .filter((other) => found.has(other) && holdingEnds(of.byId[other], of.byId[id]).length)
        .flatMap((other) => found.get(other)));
      const why = of.tasks.filter((other) => {
        const before = of.byId[other];
        const reaches = near.has(other) || (before.safety && above.has(other));
        const end = marks.get(other)?.end;
        return waiting.has(other)
          || (among.includes(other) && reaches && holdingEnds(before, of.byId[id]).includes(end));
      });
      if (why.length) found.set(id, why);
    };
    of.tasks.forEach(look);
    return new Map(among.filter((id) => found.has(id)).map((id) => [id, found.get(id)]));
  }

  /**
   * What can be done, and what cannot yet.
   * @param {Set<string>} cured tasks that are looked at again: put right, or looked at too long ago
   * @param {number} since what was put off before that line is offered again
   * @returns {{there: string[], open: string[], waits: Map<string, string[]>}} `open` in the order of the round's
   *   plan; `waits`: task -> the tasks that come before it and are not behind
   */
  function state(of, read, cured, since) {
    const among = there(of, read.facts);
    const marks = new Map([...read.marks].filter(([id]) => !cured.has(id)));
    const waits = heldBack(of, among, marks);
    const held = new Set(waits.keys());
    const ahead = (other) => among.includes(other) && !marks.has(other) && !held.has(other);
    const unmarked = (id) => [...earlier(of, id)].filter(ahead);
    for (const id of among) {
      if (!waits.has(id) && unmarked(id).length) {
        waits.set(id, of.tasks.filter((other) => unmarked(id).includes(other)));
      }
    }
    const putOff = (id) => marks.get(id)?.end === "not-done" && marks.get(id).number <= since;
    const inTime = (id) => of.only === null || of.only.has(id);
    const open = of.order.filter((id) =>
      among.includes(id) && inTime(id) && !waits.has(id) && (!marks.has(id) || putOff(id)));
    return { there: among, open, waits };
  }

  /** Minutes that the waits before a task have still to run. */
  function still(of, read, id, now) {
    const left = (of.after[id] ?? []).map((before) => {
      const made = read.marks.get(before);
      if (made === undefined || !["fine", "wrong"].includes(made.end)) return 0;
      return of.byId[before].wait - (now - Date.parse(made.time)) / MINUTE;
    });
    return Math.max(0, ...left);
  }

  /** The task that is shown next: the first open one whose waits are over, else the one with the shortest wait. */
  function next(of, read, open, now) {
    const waits = open.map((id) => ({ id, still: still(of, read, id, now) }));
    return waits.find((each) => each.still === 0)?.id ?? waits.sort((a, b) => a.still - b.still)[0]?.id ?? null;
  }

  /** The cautions that belong to a task, in the order of the hazards. */
  function cautions(task) {
    const { hazards, cautions: texts } = Diagnose.data.common;
    const ids = Object.entries(hazards).filter(([id]) => task.hazards.includes(id)).map(([, each]) => each.caution);
    return [...new Set(ids)].filter((id) => id !== null && Object.hasOwn(texts, id)).map((id) => texts[id]);
  }

  /** Whom a danger leads to: what the task itself can do, and always gas, fumes and mains. */
  function dangerReferrals(task) {
    const { byHazard, anyDanger } = Diagnose.data.rounds;
    const own = byHazard.filter(([hazard]) => task?.hazards.includes(hazard)).map(([, referral]) => referral);
    const ids = Diagnose.stops.firmestFirst([...own, ...anyDanger]);
    return ids.filter((id) => Object.hasOwn(Diagnose.data.common.referrals, id));
  }

  return Object.freeze({
    round, past, there, isThere, toAsk, heldBack, state, still, next, cautions, dangerReferrals,
  });
})();
