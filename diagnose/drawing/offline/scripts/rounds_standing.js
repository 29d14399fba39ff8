"use strict";

/**
 * Where a round stands by its lines, the walks that it opened and the card's dates: what is open, what is left, what
 * it all comes to. See diagnose/rounds/outcome.py.
 *
 * `hand` is {of, kept, since} of rounds_run.js, `host` what the rest of the page is to it.
 */
Diagnose.roundsStanding = (() => {
  const R = () => Diagnose.roundsReading;
  const V = () => Diagnose.roundsVerdict;

  const read = ({ of, kept }) => R().past(of, kept.lines, Diagnose.data.rounds.facts);

  // The walk that a wrong mark opened last, before the task was marked again.
  function walkOf({ kept }, walks, every, at) {
    const mark = every[at];
    const again = every.slice(at + 1).find(each => each.task === mark.task);
    return walks.find(walk => walk.round === kept.id && walk.task === mark.task && walk.opened >= mark.time
      && (!again || walk.opened < again.time)) ?? null;
  }

  const overdue = (task, dates) =>
    dates.filter(date => date.over && task.dates.includes(date.of)).map(date => date.told);

  // `stopped`: whether danger stopped the vehicle and nobody has cleared it.
  function standing(hand, host, stopped) {
    const { of, since } = hand;
    const today = Diagnose.setting.dayOf(host.now());
    const past = read(hand);
    const dates = V().dates(today);
    asTheDatesStand(of, past, dates);
    const walks = host.walks();
    const settled = new Set();
    const marks = past.every.map((mark, at) => {
      const walk = mark.end === "wrong" ? walkOf(hand, walks, past.every, at) : null;
      if (walk?.state === "cured") {
        settled.add(walk.id);
      }
      return { ...mark, walk: walk?.id ?? null };
    });
    const cured = new Set([...past.marks.values()]
      .filter(mark => V().isTooLongAgo(of, mark, today)
        || (mark.end === "wrong" && (V().isRenewed(of.byId[mark.task], mark, dates)
          || settled.has(marks.find(each => each.number === mark.number).walk))))
      .map(mark => mark.task));
    const state = R().state(of, past, cured, since);
    const judgement = V().judged(of, marks, past.facts, settled, stopped, today);
    const end = id => past.marks.get(id)?.end ?? "not-done";
    const isWrong = id => end(id) !== "not-fitted"
      && (overdue(of.byId[id], dates).length > 0 || (end(id) === "wrong" && !cured.has(id)));
    const wrong = state.there.filter(isWrong);
    const left = of.order.filter(id => state.there.includes(id)
      && (end(id) === "not-done" || cured.has(id) || past.marks.get(id).ofDate));
    return {
      read: past, cured, state, left, told: V().told(of, judgement, today), judgement,
      next: R().next(of, past, state.open, host.now()), minutes: minutesOf(of, left),
      buy: [...new Set(wrong.flatMap(id => of.byId[id].buy))], calls: calls(of, wrong),
    };
  }

  // What was fine before its date was over is wrong by the date alone.
  function asTheDatesStand(of, past, dates) {
    for (const [id, mark] of past.marks) {
      if (mark.end === "fine" && overdue(of.byId[id], dates).length) {
        past.marks.set(id, { ...mark, end: "wrong", ofDate: true });
      }
    }
  }

  // Work, and getting there each time the place changes.
  function minutesOf(of, ids) {
    const { places } = Diagnose.data.common;
    return ids.reduce((sum, id, at) => {
      const task = of.byId[id];
      const there = at > 0 && of.byId[ids[at - 1]].at === task.at;
      return sum + task.minutes + (there ? 0 : places[task.at].access);
    }, 0);
  }

  function calls(of, wrong) {
    const found = new Map();
    for (const id of wrong.filter(each => Object.hasOwn(Diagnose.data.common.referrals, of.byId[each].refer ?? ""))) {
      found.set(of.byId[id].refer, [...(found.get(of.byId[id].refer) ?? []), id]);
    }
    return [...found].map(([id, tasks]) => ({ to: Diagnose.data.common.referrals[id], tasks }));
  }

  // What of all that is left is in a short round, as {left, minutes}.
  function leftInTime(of, { left }) {
    const now = left.filter(id => of.only === null || of.only.has(id));
    return { left: now, minutes: minutesOf(of, now) };
  }

  return Object.freeze({ standing, read, overdue, leftInTime });
})();
