"use strict";

/*
 * A round with little time, and what most pays to be looked at: both were worked out as the page was made, by what the
 * card knows (rounds_worth_data.py), and what is told of the vehicle on the phone changes neither.
 */
Diagnose.roundsWorth = (() => {
  const { make, say, button, folded, list } = Diagnose.dom;
  const { figures } = Diagnose;
  const LATER = "What is told of the vehicle on this phone changes nothing in it; the program reckons anew.";

  const count = (many, what) => `${many} ${what}${many === 1 ? "" : "s"}`;

  // Short rounds to choose from, safety always in them; nothing once something is marked.
  function choices(of, standing, doing) {
    const there = of.shorts.filter(each => each !== of.short);
    if (!doing.fresh || !there.length) {
      return null;
    }
    const [least] = of.shorts;
    return folded("Only little time?", () => [
      say(`What is for safety is in each of them and takes ${figures.duration(least.takes)}; no shorter one is offered. `
        + "The rest of the time goes to what saves the most later."),
      there.map(each => button(
        `About ${figures.duration(each.minutes)}: ${each.tasks.length} of ${count(standing.state.there.length, "task")}`,
        () => doing.inTime(each.minutes), { manner: "answer" },
      )),
      say(LATER, "quiet"),
    ], { class: "short" });
  }

  // That it is a short one, and how much it leaves out.
  function shortTold(of, standing) {
    if (of.only === null) {
      return null;
    }
    const out = standing.state.there.filter(id => !of.only.has(id) && !standing.read.marks.has(id)).length;
    const isOut = `${count(out, "task")} of it ${out === 1 ? "is" : "are"} left out.`;
    return say(`A short round of about ${figures.duration(of.short.minutes)}: ${isOut}`, "strong");
  }

  // The way from a short round to all of it.
  const wholeAgain = (of, doing) =>
    (of.only === null ? null : button("All of the round", () => doing.inTime(null), { manner: "answer unsure" }));

  // What most pays to be looked at on such a vehicle, with its reason; nothing that was marked already.
  function told(of, standing) {
    const { read, state } = standing;
    const open = of.worth.filter(each => state.there.includes(each.task) && !read.marks.has(each.task));
    return open.length ? folded("What most pays to be looked at", () => [
      list(open.map(each => reason(of, each))),
      of.id === "lay-up" ? say("A lay-up prevents; these are what would be found.", "quiet") : null,
      say(LATER, "quiet"),
    ], { class: "worth" }) : null;
  }

  function reason(of, each) {
    const causes = each.causes.map(figures.inside).join("; ");
    // The rate is one of a year: of what is done more often than once a year it ranks only.
    const found = of.id === "wake-up" ? ` In a year it is wrong on ${figures.share(each.chance)} vehicles.` : "";
    const since = each.since.map(({ ask, answer, times }) =>
      ` ${figures.sentence(ask).replace(/[.?]+$/, "?")} ${figures.sentence(answer)} That makes the first of them `
      + `${figures.number(Number(times.toPrecision(2)))} times as likely.`).join("");
    const saves = `It takes ${figures.duration(each.minutes)} and is expected to save ${figures.duration(each.saved)} later.`;
    const what = make("span", { class: "strong" }, figures.sentence(of.byId[each.task].what));
    return [what, ` ${saves}${found} Most often: ${causes}.${since} ${basis(each)}`];
  }

  function basis({ cases, fromCases }) {
    if (cases <= 0 && fromCases <= 0) {
      return figures.sentence(figures.NO_CASES);
    }
    const whole = Number.isInteger(cases) ? "" : "about ";
    return `It rests on ${whole}${count(Math.round(cases), "case")}; how often it happens, ${figures.share(fromCases)} `
      + "on what was seen here, the rest on judgement.";
  }

  return Object.freeze({ choices, shortTold, wholeAgain, told });
})();
