"use strict";

/**
 * What every ending says: what prevents it, what was left alone and why, what the steps were reckoned at; see
 * diagnose/walking/ending.py.
 */
Diagnose.ending = (() => {
  const WORTH_PREVENTING = 0.05;
  const MOST_PREVENTIONS = 3;
  const { words } = Diagnose;

  /** Each of some plain values once. */
  const once = (values) => [...new Map(values.map((each) => [JSON.stringify(each), each])).values()];

  /** What keeps the cause away: of what was put right, else of the likeliest few. */
  function prevention(past, ranking, cured) {
    const cutSets = cured !== null
      ? [cured]
      : ranking.filter((each) => each.share >= WORTH_PREVENTING).map((each) => each.cause);
    const causes = cutSets.flatMap((cutSet) => Diagnose.past.causesOf(past.tree, cutSet));
    const told = causes.filter((each) => each.prevent);
    return once(told.map(({ says, prevent }) => ({ says, prevent }))).slice(0, MOST_PREVENTIONS);
  }

  /** The causes that nobody here touched, likeliest first, and why. */
  function leftAlone(past, ranking, role, cannot) {
    const order = ranking.length ? ranking.map((each) => each.cause) : past.tree.hypotheses.map((each) => each.id);
    const tried = Diagnose.past.tried(past);
    const found = [];
    for (const cutSet of order.filter((each) => tried[each] !== "not-cured")) {
      for (const cause of Diagnose.past.causesOf(past.tree, cutSet)) {
        const why = tried[cutSet] === "could-not" ? words.couldNotBeDone : whyAlone(past, cause, role, cannot);
        if (why) found.push({ says: cause.says, why });
      }
    }
    return once(found);
  }

  function whyAlone(past, cause, role, cannot) {
    const { remedy } = cause;
    if (remedy.kind === "refer") {
      const referral = past.tree.referrals[remedy.text];
      return referral === undefined ? words.leftForSomebody : words.leftFor.replace("{to}", () => referral.to);
    }
    if (remedy.kind === "see") return words.otherTree;
    if (role === "owner" && remedy.by === "technician") return words.technician;
    const lacking = remedy.needs.filter((need) => cannot.includes(need));
    return lacking.length ? words.needs.replace("{needs}", lacking.join(" and ")) : "";
  }

  /** What the steps of this walk were reckoned at; what was known ahead cost nothing here. */
  function doneSoFar(past) {
    const done = { minutes: 0, wait: 0, price: 0 };
    const been = new Set();
    for (const line of past.live) {
      let steps = [];
      if (line.kind === "finding" && !line.ahead) {
        const check = Diagnose.past.checkOf(past.tree, line.subject);
        steps = check.fact ? [] : [check];
      } else if (line.kind === "tried" && line.answer !== "could-not" && !line.ahead) {
        steps = Diagnose.past.causesOf(past.tree, line.subject).map((cause) => cause.remedy);
      } else if (line.kind === "cured-when") {
        done.minutes += past.tree.curedWhen.minutes;
      }
      for (const step of steps) {
        done.minutes += step.minutes;
        done.wait += step.wait;
        done.price += step.price;
        if (step.at !== null && !been.has(step.at) && Object.hasOwn(past.tree.places, step.at)) {
          been.add(step.at);
          done.minutes += past.tree.places[step.at].access;
        }
      }
    }
    return done;
  }

  return Object.freeze({ prevention, leftAlone, doneSoFar });
})();
