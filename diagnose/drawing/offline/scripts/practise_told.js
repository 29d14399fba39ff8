"use strict";

/**
 * What an exercise says, in the words of the program's own screens (diagnose/terminal/practise_page.py and
 * practise_debrief.py). Every function gives a text or a list of texts; nothing here knows the document.
 */
Diagnose.practiseTold = (() => {
  const MOST_APART = 3;
  const MARKS = {
    trap: ["forbidden act chosen", "forbidden acts chosen"],
    barred: ["step chosen that was not allowed by then", "steps chosen that were not allowed by then"],
    "went-on": ["time gone on after a danger answer", "times gone on after a danger answer"],
    "dangers-left-out": ["time begun before the danger questions", "times begun before the danger questions"],
  };
  const F = () => Diagnose.figures;
  const whole = value => Diagnose.sheetNumbers.whole(value);
  const whatFault = says => F().inside(says);

  // What holds of the vehicle, a sentence each.
  const story = run =>
    run.vehicle.facts().map(([fact, answer]) => {
      const check = run.tree.facts[fact];
      const says = check.answers.find(each => each.id === answer)?.says ?? answer;
      return `${check.ask} ${says.trim().replace(/\.+$/, "")}.`;
    });

  // A choice and what it takes, waiting and money apart.
  function inOneLine(run, choice) {
    if (choice.kind === "trap" || choice.kind === "stop") return choice.says;
    const parts = [F().duration(choice.minutes)];
    if (choice.wait > 0) parts.push(`then ${F().duration(choice.wait)} of waiting`);
    if (choice.price > 0) parts.push(F().money(choice.price));
    return `${choice.says} (${[...parts, ...choice.at.map(place => where(run, place))].join(", ")})`;
  }

  function where(run, id) {
    const place = run.tree.places[id];
    const paid = run.been(id) || !place.access;
    return paid ? place.says : `${place.says} (+${Diagnose.sheetNumbers.general(place.access)})`;
  }

  function partsInWords(parts) {
    const [minutes, wait] = [whole(parts.handsOn), whole(parts.wait)];
    const told = [];
    if (minutes !== "0") told.push(`${minutes} ${minutes === "1" ? "minute" : "minutes"}`);
    if (wait !== "0") told.push(told.length ? `${wait} more of waiting` : `${wait} of waiting`);
    if (parts.price > 0) told.push(F().money(parts.price));
    return told.join(", ") || "no time";
  }

  const answer = (run, turn) =>
    F().ended(Diagnose.vehicle.shown(turn.finding, run.tree.checks[turn.choice.id]));

  const smells = (run, turn) =>
    turn.smelt !== null &&
    Diagnose.past.stops(run.tree, run.tree.checks[turn.smelt.check], turn.smelt.answer);

  // What was found where hands were on the gas.
  function smelt(run, turn) {
    if (turn.smelt === null) return [];
    const check = run.tree.checks[turn.smelt.check];
    const says = F().ended(Diagnose.vehicle.shown(turn.smelt, check));
    return [`Hands were on the gas, so this is asked again: ${check.ask} ${says}`];
  }

  // What came of one choice: {title, danger, lines, spent}.
  function outcome(run, turn) {
    const lines = [];
    if (turn.marks.includes("dangers-left-out")) {
      lines.push(
        "You began before every danger question was asked.",
        "They come first, whatever else is thought: a leak or a live part hurts whoever looks.",
        "This is marked.",
      );
    }
    const { trap } = turn.choice;
    if (trap !== null) {
      return {
        title: "Nobody may do that.",
        danger: true,
        spent: "",
        lines: [
          F().ended(trap.says),
          `Why not: ${trap.because}`,
          `What it can do: ${trap.can}`,
          `Instead: ${trap.instead}`,
          "You learn nothing from it, and it is marked. No speed makes up for a mark.",
        ],
      };
    }
    const told = {
      found: () => [answer(run, turn)],
      "not-cured": () =>
        smells(run, turn)
          ? ["It is done.", ...smelt(run, turn), "Whether it works is no matter now."]
          : [...smelt(run, turn), "It is done, and nothing has changed."],
      cured: () => [...smelt(run, turn), `It works again: ${F().inside(run.tree.curedWhen.ask)} Yes.`],
      barred: () => [barred(run, turn), "This is marked."],
      "went-on": () => [
        "You were told of a danger and went on. Nobody does that on a real vehicle: whatever is done next may be " +
          "what sets it off. So the exercise ends here, and this is marked.",
      ],
      stopped: () => ["You stop, and call the people for it. The exercise ends here."],
      "handed-over": () => ["You hand it over. The exercise ends here."],
    }[turn.became]();
    const took = turn.became === "barred" ? "" : partsInWords(turn.spent);
    return {
      title: turn.choice.says,
      danger: turn.marks.length > 0,
      lines: [...lines, ...told],
      spent: took ? `That took ${took}; so far ${partsInWords(run.spent())}.` : "",
    };
  }

  function barred(run, turn) {
    const { tries } = run.tree;
    if (turn.bar === "tries") {
      return `It may be started ${tries === 1 ? "once" : `${tries} times`}, and that is used up. It is not started again.`;
    }
    if (turn.bar === "restored")
      return "The mains are put back on once, no more. Nothing here puts them on again.";
    return (
      "More than half of what is likely is under gas or the mains by now, and none of that is left for you to " +
      "look at or put right. Only handing over is left."
    );
  }

  // What was chosen and what came of it, in a few words.
  function inShort(run, turn) {
    const words = {
      cured: "- That cured it.",
      "not-cured": "- That did not cure it.",
      trap: "- Nobody may do that.",
      barred: "- Not allowed by then.",
      "went-on": "- After a danger answer.",
      stopped: "",
      "handed-over": "",
    };
    const came = turn.became === "found" ? `- ${answer(run, turn)}` : words[turn.became];
    return `${turn.choice.says} ${came}`.trim();
  }

  // Which fault it was, and whether it was found.
  function fault(run, score) {
    const { tree } = run;
    const share = Diagnose.evidence.prior(tree)[run.fault];
    const named = tree.hypotheses.find(each => each.id === run.named);
    let found = "You did not find it.";
    if (score.ended === "cured") found = "You found it and put it right.";
    else if (score.found) found = "You named it.";
    else if (score.found === null)
      found = "You stopped at a danger. That was right; finding the fault is no matter then.";
    else if (named) found = `You named another: ${whatFault(named.says)}.`;
    return [
      `It was this: ${whatFault(run.vehicle.fault.says)}.`,
      `Of vehicles with this symptom, ${F().share(share)} have it.`,
      found,
    ];
  }

  function marks(score) {
    if (!score.marks.length) return ["Safety: no marks."];
    const told = Object.entries(MARKS).map(([mark, [one, more]]) => {
      const times = score.marks.filter(each => each === mark).length;
      return times ? `${times} ${times === 1 ? one : more}` : "";
    });
    return [
      `Safety: ${told.filter(Boolean).join("; ")}.`,
      "No speed makes up for a mark: on a real vehicle that is where somebody is hurt.",
    ];
  }

  function minutes(run, score) {
    const best = score.best.spent();
    const { expected, costs } = run.tree.practise;
    const told = [
      `You took ${partsInWords(score.spent)}.`,
      `The best route would have taken ${partsInWords(best)} on this vehicle.`,
      `With waiting and money weighed in, that counts ${whole(score.spent.cost)} against ${whole(best.cost)}. ` +
        `Over all vehicles with this symptom the route counts ${whole(expected[0])} on average, over those with ` +
        `this fault ${whole(costs[run.fault])}.`,
    ];
    if (score.spent.cost < best.cost - 0.5 && !score.marks.length && score.ended === "cured") {
      told.push("You were quicker than the best route, which has to serve every vehicle: this one was luck.");
    }
    return told;
  }

  // The turn that lost most, and why another step was better there.
  function costliest(run, score) {
    if (score.costliest < 0) {
      return run.turns.length ? ["No turn lost a minute against the best that could be chosen."] : [];
    }
    const turn = run.turns[score.costliest];
    const { better, regret } = score.worths[score.costliest];
    return [
      `Turn ${score.costliest + 1} lost most, about ${whole(regret)} minutes on average.`,
      `You chose: ${F().ended(turn.choice.says)}`,
      `Better was: ${F().ended(run.byId(better.of)?.says ?? better.of)}`,
      whyBetter(run, turn, better),
      whyChosen(run, turn, better),
      "This is reckoned two steps ahead; your trainer's program may reckon further.",
    ].filter(Boolean);
  }

  const shareBefore = (run, turn, id) =>
    Diagnose.evidence.posterior(run.tree, turn.before)[run.tree.hypotheses.findIndex(each => each.id === id)];

  function whyBetter(run, turn, better) {
    if (better.kind === "remedy") {
      return `By then ${F().share(shareBefore(run, turn, better.of))} such vehicles had just that.`;
    }
    if (better.kind !== "check") return "By then nothing that was left was worth its minutes.";
    const told = apart(run, turn, better.of);
    return told ? `It would have told ${told}.` : "Its answer decides what is done next.";
  }

  function whyChosen(run, turn, better) {
    const { kind, id } = turn.choice;
    if (kind === "check") {
      const told = apart(run, turn, id);
      return told ? `What you asked tells ${told}.` : "What you asked told hardly anything apart by then.";
    }
    if (kind === "remedy") {
      return `What you put right was wrong with ${F().share(shareBefore(run, turn, id))} such vehicles by then.`;
    }
    const more = better.kind === "check" || better.kind === "remedy";
    return more ? "Whoever comes out is dear, and more could be told or put right before." : "";
  }

  // What a check tells, by the causes whose shares its answers move most; "" for hardly anything.
  function apart(run, turn, check) {
    const causes = Diagnose.reasons.separated(run.tree, turn.before, check).slice(0, MOST_APART);
    const says = causes.map(at => {
      const each = run.tree.hypotheses[at];
      return each.id === "not-listed" ? "something that is not listed" : whatFault(each.says);
    });
    if (!says.length) return "";
    if (says.length === 1) return `whether it is this: ${says[0]}`;
    return `these apart: ${says.slice(0, -1).join("; ")}; and ${says[says.length - 1]}`;
  }

  const misleading = (run, score) =>
    score.misleading.map(turn => [
      `${turn.choice.says} - ${answer(run, turn)}`,
      `Of vehicles with this fault ${F().share(run.vehicle.howLikely(turn.choice.id, turn.finding.answer))} answer so.`,
    ]);

  return Object.freeze({
    story,
    inOneLine,
    partsInWords,
    outcome,
    inShort,
    fault,
    marks,
    minutes,
    costliest,
    misleading,
  });
})();
