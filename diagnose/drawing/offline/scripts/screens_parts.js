"use strict";

/* What several screens are made of: cautions, notices, how things stand, why, and the ways to answer. */
Diagnose.parts = (() => {
  const { make, say, button, folded, list } = Diagnose.dom;
  const figures = Diagnose.figures;
  const LEADING = 3;
  const WORTH_NAMING = 0.05;
  const MOST_NAMED = 3;
  const CHOOSE_FIRST = "Choose one of the answers first.";
  const NOT_SURE = { id: "not-sure", says: "Not sure" };

  // The safety alert symbol, which a notice does not have (ANSI Z535.6, from memory).
  const mark = each => (each.word === "NOTICE" ? "" : "\u26A0\uFE0E ");

  // A safety text behind its signal word, never shortened.
  const caution = each =>
    make(
      "section",
      { class: `signal ${each.word.toLowerCase()}` },
      make("h2", { class: "word" }, make("span", { "aria-hidden": "true" }, mark(each)), each.word),
      make("p", {}, each.say),
    );

  const cautions = view => view.cautions.map(caution);

  const notices = view => view.notices.map(notice => say(notice, "remark"));

  // A page of buttons, one for each answer.
  const answers = (choices, take, manner = "answer") =>
    choices.map(choice => button(choice.says, () => take(choice.id), { manner }));

  // Answers that no slip of a finger gives: one is picked, and then it is said that it is right.
  function firmAnswers(choices, take, tell) {
    const group = make("div", { class: "choices", role: "radiogroup", "aria-labelledby": "heading" });
    choices.forEach((choice, at) => {
      const radio = make("input", { type: "radio", name: "answer", id: `answer-${at}`, value: choice.id });
      radio.checked = false;
      group.append(make("label", { class: "choice", for: `answer-${at}` }, radio, make("span", {}, choice.says)));
    });
    const give = button("This is my answer", () => {
      const picked = group.querySelector("input:checked");
      if (picked) {
        take(picked.value);
      } else {
        tell(CHOOSE_FIRST);
        group.querySelector("input").focus();
      }
    }, { manner: "answer give" });
    return [group, give];
  }

  // The leading causes in words and figures, when they are asked for.
  function standing(view) {
    if (!view.ranking.length) {
      return null;
    }
    return folded("So far the likeliest", () => {
      const ranking = view.ranking;
      const leading = ranking.slice(0, LEADING).filter((ranked, at) => at === 0 || ranked.share >= WORTH_NAMING);
      const judged = ranking.every(ranked => ranked.cases <= 0);
      const lines = leading.map(ranked => {
        const basis = judged ? "" : ` (${figures.basis(ranked, ranking)})`;
        return `${figures.cause(ranked)}: ${figures.share(ranked.share)}${basis}`;
      });
      return [list(lines), judged ? say(figures.sentence(figures.NO_CASES), "quiet") : null];
    });
  }

  function apart(reason) {
    const causes = reason.separates.slice(0, MOST_NAMED).map(says => `"${says}"`);
    if (!causes.length) {
      return "is the next best step";
    }
    if (causes.length === 1) {
      return `shows whether it is ${causes[0]}`;
    }
    return `tells ${causes.slice(0, -1).join(", ")} and ${causes[causes.length - 1]} apart`;
  }

  function following(leads) {
    switch (leads.step.kind) {
      case "check":
        return leads.says || "Another check; what to mind is said with it.";
      case "remedy":
        return `What to do if it is this: ${figures.inside(leads.says)}.`;
      case "stop":
        return `It stops for danger. To be called: ${figures.inside(leads.says)}.`;
      case "referral":
        return `It goes to others: ${figures.inside(leads.says)}.`;
      default:
        return `Other questions, those of ${leads.says}.`;
    }
  }

  function howSure(reason, view, interval) {
    const leader = reason.sure;
    if (!leader) {
      return "";
    }
    const within = interval ? `${figures.interval(...interval)}; ` : "";
    return `So far the likeliest is "${figures.cause(leader)}", ${figures.share(leader.share)} `
      + `(${within}${figures.basis(leader, view.ranking)}).`;
  }

  // Why this is asked now: what it tells apart, how sure it is so far, and what comes after each answer.
  function why(view, wheres, been, reckon) {
    return folded("Why this?", () => {
      const { reason, interval } = reckon();
      const places = wheres.map(where => where.place).filter(Boolean);
      const there = places.length && places.every(place => been.has(place)) ? "While you are there, this" : "This";
      const wait = view.effort.wait > 0 ? `; it takes ${figures.duration(view.effort.wait)}, but not you` : "";
      const together = new Map();
      for (const leads of reason.leads) {
        const says = following(leads);
        together.set(says, [...(together.get(says) ?? []), ...leads.answers]);
      }
      const after = [...together].flatMap(([says, given]) => [
        make("dt", {}, `${given.join("; ")}:`),
        make("dd", {}, says),
      ]);
      return [
        say(`${there} ${apart(reason)}${wait}. ${howSure(reason, view, interval)}`),
        after.length ? say("What comes after each answer:", "quiet") : null,
        after.length ? make("dl", {}, after) : null,
      ];
    });
  }

  // What is dialled of a number as people write it. The nought in brackets behind a country's code is for calls
  // from within that country; behind the code it reaches nobody (ITU-T E.123).
  const dialled = number =>
    number.trim().replace(/^(\+|00)([0-9 ]+)\(0\)/, "$1$2").replace(/[()/. -]/g, "");

  // A telephone number that the owner set, to be pressed. No other number is.
  const ownNumber = number => {
    const digits = dialled(number);
    return !/^\+?[0-9]{2,}$/.test(digits) ? null : make("a", { class: "call", href: `tel:${digits}` }, `Call ${number}`);
  };

  const numbers = view => (view.numbers.length ? view.numbers.join(" or ") : "112");

  return Object.freeze({
    NOT_SURE, cautions, notices, answers, firmAnswers, standing, why, dialled, ownNumber, numbers,
  });
})();
