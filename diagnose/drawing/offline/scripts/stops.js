"use strict";

/**
 * Where a stop leads: whom to call, the firmest first, and the very first words; see
 * diagnose/walking/stops.py.
 */
Diagnose.stops = (() => {
  const FIRMEST = ["gas-escape", "co-suspected", "mains-danger"];
  const { words } = Diagnose;

  /** Each once: those that save a life first, the others as they came. */
  function firmestFirst(referrals) {
    const there = [...new Set(referrals)];
    return [...FIRMEST.filter((id) => there.includes(id)), ...there.filter((id) => !FIRMEST.includes(id))];
  }

  /** [referral, words] of every line that stops. */
  function stopping(past) {
    const found = [];
    for (const line of past.live) {
      if (line.kind === "danger") {
        past.tree.dangerReferrals.forEach((id) => found.push([id, words.danger]));
      } else if (line.kind === "cleared" && line.answer !== "yes") {
        found.push([line.subject, words.uncleared]);
      } else if (line.kind === "finding") {
        const check = Diagnose.past.checkOf(past.tree, line.subject);
        if (Diagnose.past.stops(past.tree, check, line.answer)) {
          const says = check.answers.find((each) => each.id === line.answer)?.says ?? "Not sure";
          found.push([check.refer ?? past.tree.referTo, `${check.ask} ${says}.`]);
        }
      }
    }
    return found;
  }

  /** The referrals of everything that stopped this walk, firmest first; empty while nothing did. */
  const stopReferrals = (past) => firmestFirst(stopping(past).map(([id]) => id));

  /** What was answered that stopped the walk, in words. */
  const because = (past) => [...new Set(stopping(past).map(([, said]) => said))].join(" ");

  /** Whether nothing new was found: the vehicle merely was not cleared since its last walk stopped. */
  const onlyUncleared = (past) => stopping(past).every(([, said]) => said === words.uncleared);

  /** The first sentences of a stop: what to do this moment, and the number to call. */
  function firstWords(referrals, numbers, uncleared) {
    const ids = referrals.map((each) => each.id);
    const allOut = ids.includes("gas-escape") || ids.includes("co-suspected")
      || referrals.some((each) => each.untilHelp.startsWith("All out"));
    let act = words.leaveAlone;
    if (uncleared) act = words.nothingUsed;
    else if (allOut) act = words.out;
    else if (ids.includes("mains-danger")) act = words.handsOff;
    return `${act} ${words.call.replace("{number}", numbers[0])}`;
  }

  return Object.freeze({ firmestFirst, stopReferrals, because, onlyUncleared, firstWords });
})();
