"use strict";

/**
 * What a round has come to: ready, limited or not ready, never more; see diagnose/rounds/verdict.py, whose rules
 * these are, and verdict_statements.py, whose sentences. What hangs neither on the day nor on a mark was worked
 * out in rounds_data.py.
 */
Diagnose.roundsVerdict = (() => {
  const R = () => Diagnose.roundsReading;
  const held = () => Diagnose.data.rounds;
  const DAY = 86400000;
  const MONTHS = [
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
  ];

  /** How the dates stand on a day (ISO 8601), the overdue first, then by day, then what is unknown. */
  function dates(today) {
    const stand = (date, at) => {
      const days = date.due === null ? null : Math.round((Date.parse(date.due) - Date.parse(today)) / DAY);
      const group = date.due !== null ? 0 : date.written === null ? 1 : 2;
      return { ...date, days, over: date.from !== null && today >= date.from, group, at };
    };
    const by = (one, other) =>
      one.group - other.group || (one.due ?? "").localeCompare(other.due ?? "") || one.at - other.at;
    return held().dates.map(stand).sort(by);
  }

  /**
   * The verdict by all marks that stand.
   * @param {object} of the round
   * @param {{task: string, end: string, walk: ?string}[]} marks all that stand, oldest first
   * @param {Object<string, string>} facts the card's and those told on the round
   * @param {Set<string>} settled walks that ended in a cure; any other is taken as open
   * @param {boolean} stopped whether danger was told and nobody qualified has cleared the vehicle
   * @param {string} today ISO 8601
   * @returns {{verdict: string, reasons: object[], mustNotUse: string[], dates: object[]}} the worst reasons first
   */
  function judged(of, marks, facts, settled, stopped, today) {
    const known = dates(today);
    const reasons = stopped ? [against("danger", "danger", "not-ready", "", "The vehicle")] : [];
    for (const id of of.tasks) {
      const marked = marks.filter((mark) => mark.task === id);
      const renewed = isRenewed(of.byId[id], marked[marked.length - 1], known);
      const said = (why) => [against(id, why, of.weight[id], of.byId[id].what, of.byId[id].mustNotUse)];
      const found = renewed ? said("renewed") : ofTask(of, of.byId[id], marked, settled, facts);
      const fine = marked.length && !found.length && R().isThere(of.byId[id], facts);
      reasons.push(...(fine && isTooLongAgo(of, marked[marked.length - 1], today) ? said("long-ago") : found));
    }
    const gone = [...new Set(marks.map((mark) => mark.task))].filter((id) => !Object.hasOwn(of.byId, id));
    for (const id of gone) {
      const last = marks.filter((mark) => mark.task === id).pop();
      if (last.end === "wrong") reasons.push(against(id, "gone", "not-ready", id, ""));
    }
    const hired = of.id === "hand-over" || facts.use === "hired";
    for (const date of known) reasons.push(...ofDate(of, date, hired));
    reasons.sort((one, other) => held().badness[other.counts] - held().badness[one.counts]);
    return {
      verdict: reasons.length ? reasons[0].counts : "ready",
      reasons,
      mustNotUse: [...new Set(reasons.map((reason) => reason.mustNotUse).filter(Boolean))],
      dates: known.filter((date) => !date.driver),
    };
  }

  const against = (about, why, counts, what, mustNotUse, more = {}) =>
    ({ about, why, counts, what, mustNotUse, walk: null, date: null, ...more });

  /** Whether something was called fine, or not fitted, so long ago that nobody can go by it. */
  function isTooLongAgo(of, mark, today) {
    const days = (Date.parse(today) - Date.parse(Diagnose.setting.dayOf(Date.parse(mark.time)))) / DAY;
    return ["fine", "not-fitted"].includes(mark.end) && Math.round(days) > of.countsFor;
  }

  /** Whether a task was wrong only for its date, and the card has one by now that holds. */
  function isRenewed(task, mark, known) {
    const own = known.filter((date) => task.dates.includes(date.of) && date.written !== null);
    return mark?.ofDate === true && own.length > 0 && own.every((date) => !date.over);
  }

  /** What a task's marks come to. One that is not meant for this vehicle counts only if it was wrong. */
  function ofTask(of, task, marks, settled, facts) {
    const last = marks[marks.length - 1];
    const end = last?.end ?? "not-done";
    const walks = marks.filter((mark) => mark.end === "wrong" && mark.walk).map((mark) => mark.walk);
    const open = walks.reverse().find((walk) => !settled.has(walk));
    const told = (why, walk = null) =>
      [against(task.id, why, of.weight[task.id], task.what, task.mustNotUse, { walk })];
    if (end === "wrong") return told(last.walk && open === undefined ? "case-closed" : "wrong", last.walk ?? null);
    if (open !== undefined) return told("case-open", open);
    if (!R().isThere(task, facts) || end === "fine") return [];
    if (end === "not-done" || task.neverMissing) return told("not-done");
    return task.alarm ? [against(task.id, "no-alarm", "limited", task.what, task.mustNotUse)] : [];
  }

  /** Gas and mains stay unchecked until a qualified person's check is on the card and holds; others may be over. */
  function ofDate(of, date, hired) {
    if (Object.hasOwn(held().checks, date.of)) {
      if (date.written !== null && !date.over) return [];
      const about = held().checks[date.of];
      const unused = hired ? `${capital(about)}, until somebody qualified has checked it` : "";
      return [against(about, "unchecked", "limited", date.says, unused, { date })];
    }
    const meant = of.over[date.of];
    if (!date.over || meant === undefined) return [];
    return [against(date.of, "over", meant.counts, date.says, meant.mustNotUse, { date })];
  }

  const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
  const bare = (text) => text.replace(/\.+$/, "");
  const count = (many, what) => `${many.toLocaleString("en-GB")} ${what}${many === 1 ? "" : "s"}`;

  /** A day as people write it: `31 March 2024`. */
  function inWords(day) {
    const [year, month, date] = day.split("-").map(Number);
    return `${date} ${MONTHS[month - 1]} ${year}`;
  }

  /** Whole months from a day to today; a month is over on its last day where the day's figure is missing. */
  function monthsSince(day, today) {
    const [year, month, date] = day.split("-").map(Number);
    const [thisYear, thisMonth, thisDate] = today.split("-").map(Number);
    const longest = new Date(Date.UTC(thisYear, thisMonth, 0)).getUTCDate();
    const months = (thisYear - year) * 12 + thisMonth - month;
    return months - (thisDate < Math.min(date, longest) ? 1 : 0);
  }

  function span(day, today) {
    const months = monthsSince(day, today);
    if (months < 1) return count(Math.round((Date.parse(today) - Date.parse(day)) / DAY), "day");
    return months < 24 ? count(months, "month") : count(Math.floor(months / 12), "year");
  }

  /** When a date is due, in words. */
  function when(date, today) {
    if (date.days === null) return date.written === null ? "unknown" : "never due";
    if (date.days > 0) return `due in ${count(date.days, "day")}, on ${inWords(date.due)}`;
    return date.days === 0 ? "due today" : `overdue since ${inWords(date.due)}, ${span(date.due, today)}`;
  }

  function statement(date, today) {
    const about = capital(date.says);
    if (date.written === null) return `${about}: unknown, no date is on the card. ${date.findIt}`.trimEnd();
    if (date.days > 0) return `${about}: ${when(date, today)}.`;
    return `${about}: ${when(date, today)}. ${date.then}`;
  }

  function inSentences(reason, today) {
    const what = capital(bare(reason.what));
    const says = {
      danger: () => "Danger was told, and nobody qualified has cleared the vehicle since",
      wrong: () => `Wrong: ${what}`,
      "case-open": () => `${what}: called fine, yet the walk that it opened has come to no good end`,
      "case-closed": () => `${what}: its walk came to a good end; look at it once more and mark it`,
      renewed: () => `${what}: it was wrong by its date alone, which is new on the card; look at it once more`,
      "not-done": () => `Not done: ${what}`,
      "long-ago": () => `Looked at too long ago to go by: ${what}`,
      "no-alarm": () => held().words.noAlarm,
      gone: () => `${what} was found wrong, and this round has that task no more`,
      over: () => over(reason, today),
      unchecked: () => unchecked(reason, today),
    };
    return `${bare(says[reason.why]())}.`;
  }

  function over({ what, date }, today) {
    if (date.driver) return "A paper of the driver's is past its date; the card says which";
    return `${capital(what)}: ${when(date, today)}. ${date.then}`;
  }

  function unchecked({ about, date }, today) {
    const who = about === "gas" ? "a gas engineer's" : "an electrician's";
    if (date.written === null) return `${capital(about)}: the card has no day of ${who} check`;
    return `${capital(about)}: ${who} check is ${when(date, today)}`;
  }

  /** The record of a verdict in words: {headline, parts: [[heading, lines]], closing}. */
  function told(of, judgement, today) {
    const { reasons } = judgement;
    const why = (...kinds) => reasons.filter((reason) => kinds.includes(reason.why));
    // What was not done and leaves the vehicle not ready stands under both.
    const others = reasons.filter((reason) =>
      !["unchecked", "not-done"].includes(reason.why) || reason.counts === "not-ready");
    const undone = new Set(why("not-done").map((reason) => reason.about));
    const said = new Set(reasons.filter((reason) => reason.date !== null).map((reason) => reason.date.of));
    const soon = (date) => date.days !== null && date.days <= held().words.dueSoon;
    const due = judgement.dates.filter((date) => !said.has(date.of) && (soon(date) || date.written === null));
    const parts = [
      ["Why", others.map((reason) => inSentences(reason, today))],
      ["Must not be used", judgement.mustNotUse.map((unused) => `${capital(bare(unused))}.`)],
      ["Unchecked", why("unchecked").map((reason) => inSentences(reason, today))],
      ["Not done", of.tasks.filter((id) => undone.has(id)).map((id) => `${bare(of.byId[id].what)}.`)],
      ["Dates", due.map((date) => statement(date, today))],
    ];
    return {
      headline: of.headlines[judgement.verdict],
      parts: parts.filter(([, lines]) => lines.length),
      closing: of.closing,
    };
  }

  return Object.freeze({ judged, told, dates, isRenewed, isTooLongAgo });
})();
