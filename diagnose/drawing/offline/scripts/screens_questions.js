"use strict";

/*
 * The screens that ask something, from the views that a walk hands out. The order is that of the prompt: what
 * could hurt, what has to be known, the question, how to look, what it takes, the answers, how things stand.
 *
 * `doing` is what a screen can do: {answer(id), reading(text), notSure(), leaveOff(), back, why(), read(),
 * been, reread}; what is missing there is not offered.
 */
Diagnose.questions = (() => {
  const { make, say, button, folded } = Diagnose.dom;
  const { NOT_SURE, answers, cautions, firmAnswers, notices, standing, why } = Diagnose.parts;
  const figures = Diagnose.figures;
  const tell = text => Diagnose.layout.tell(text);
  const DIGITS_ONLY = "Only a number goes in here. If something is dangerous, press Danger.";

  // What stands on every screen of a walk.
  const common = (view, doing, rest) => ({ about: view.symptom, back: doing.back, ...rest });

  // The cautions by themselves, before anything can be answered.
  function mind(view, doing) {
    return common(view, doing, {
      heading: "Before you go on",
      body: cautions(view),
      answers: [button("I have read this", doing.read, { manner: "answer" })],
      below: leave(doing),
    });
  }

  const leave = doing => (doing.leaveOff ? [button("Leave off", doing.leaveOff, { manner: "plain" })] : []);

  // Cautions that were read a moment ago stay within reach.
  const reread = view => (view.cautions.length ? folded("Cautions", () => cautions(view)) : null);

  function below(view, doing, wheres = []) {
    return [
      reread(view),
      doing.why ? why(view, wheres, doing.been, doing.why) : null,
      standing(view),
      leave(doing),
    ];
  }

  function question(view, doing) {
    const again = view.again && !view.notices.length ? "Asked again, since things may have changed:" : "";
    const takes = figures.takes(view.effort, [view.where], view.needs, doing.been);
    return common(view, doing, {
      first: [notices(view), say(again, "quiet")],
      heading: view.ask,
      body: [say(view.how), say(takes, "quiet"), view.starts ? say(figures.tries(view.triesLeft)) : null],
      answers: view.measures ? measured(view, doing) : worded(view, doing),
      below: below(view, doing, [view.where]),
    });
  }

  function worded(view, doing) {
    if (view.askFirst || view.kind === "unsure") {
      return firmAnswers([...view.choices, NOT_SURE], id => give(id, doing), tell);
    }
    return [answers(view.choices, doing.answer), button("Not sure", doing.notSure, { manner: "answer unsure" })];
  }

  const give = (id, doing) => (id === NOT_SURE.id ? doing.notSure() : doing.answer(id));

  // Help to find out, and then the same question once more.
  function unsure(view, doing) {
    return common(view, doing, {
      first: [notices(view), say(view.advice, "remark")],
      heading: view.ask,
      body: [say(view.how)],
      answers: view.measures ? measured(view, doing) : worded(view, doing),
      below: [say("Still not sure? Then choose: not sure. It then counts as danger."), below(view, doing)],
    });
  }

  function remedy(view, doing) {
    const one = view.do.length === 1;
    const last = view.triesLeft !== null && view.triesLeft <= 1 ? figures.tries(view.triesLeft) : "";
    return common(view, doing, {
      first: [notices(view), say(`It may be this: ${figures.inside(view.says)}.`)],
      heading: one ? figures.sentence(view.do[0]) : "What to do, in this order",
      body: [
        one ? null : make("ol", { class: "strong" }, view.do.map(text => make("li", {}, figures.sentence(text)))),
        view.how.map(text => say(text)),
        say(figures.takes(view.effort, view.where, view.needs, doing.been), "quiet"),
        say(last),
      ],
      answers: answers(view.choices, doing.answer),
      below: below(view, doing, view.where),
    });
  }

  function curedQuestion(view, doing) {
    return common(view, doing, {
      first: [notices(view), say("Good. Make sure of it before you rely on it.")],
      heading: view.ask,
      body: [say(figures.effort({ minutes: view.minutes, wait: 0, price: 0 }).join(" "), "quiet")],
      answers: answers(view.choices, doing.answer),
      below: [reread(view), leave(doing)],
    });
  }

  function clearedQuestion(view, doing) {
    return common(view, doing, {
      first: notices(view),
      heading: view.ask,
      answers: firmAnswers(view.choices, doing.answer, tell),
      below: below(view, doing),
    });
  }

  // A figure to be typed on the keypad, with its unit and range; or the word for it, where no figure is at hand.
  function measured(view, doing) {
    const { unit, low, high, uncertainty } = view.measures;
    const field = make("input", {
      id: "reading", type: "text", inputmode: "decimal", autocomplete: "off", "aria-describedby": "range",
    });
    onlyDigits(field);
    const units = unitsOf(view);
    const below = low < 0 ? make("input", { id: "below", type: "checkbox" }) : null;
    const take = () => {
      const typed = field.value.trim();
      const sign = below?.checked && !/^[-\u2212]/.test(typed) ? "-" : "";
      doing.reading(`${sign}${typed} ${units?.value ?? unit}`);
    };
    field.addEventListener("keydown", event => event.key === "Enter" && take());
    const range = `It lies between ${figures.number(low)} and ${figures.number(high)} ${unit}.`;
    const doubt = `It is taken as right to ± ${figures.number(uncertainty)} ${unit}.`;
    return [
      make("label", { for: "reading", class: "strong" }, "What you read"),
      make("div", { class: "reading" }, field, units ?? make("span", {}, unit)),
      below ? make("label", { class: "choice", for: "below" }, below, make("span", {}, "Below zero")) : null,
      make("p", { id: "range", class: "quiet" }, range),
      say(doubt, "quiet"),
      button("This is my reading", take, { manner: "answer give" }),
      view.choices.length ? say("No figure, but you can tell?") : null,
      worded({ ...view, choices: view.choices.map(bandInWords) }, doing),
    ];
  }

  const bandInWords = choice => ({ ...choice, says: figures.sentence(choice.says).replace(/\.$/, "") });

  function unitsOf(view) {
    if (!view.alsoReadIn?.length) {
      return null;
    }
    const units = [view.measures.unit, ...view.alsoReadIn];
    const options = units.map(unit => make("option", { value: unit }, unit));
    return make("select", { id: "unit", "aria-label": "Unit", autocomplete: "off" }, options);
  }

  // No words can be typed here, so none can be missed: what is not part of a number never gets in.
  function onlyDigits(field) {
    field.addEventListener("input", () => {
      const kept = field.value.replace(/[^0-9.,+\-\u2212]/g, "").slice(0, 12);
      if (kept !== field.value) {
        field.value = kept;
        tell(DIGITS_ONLY);
      }
    });
  }

  const SCREENS = {
    question, unsure, remedy, "cured-question": curedQuestion, "cleared-question": clearedQuestion,
  };

  // The screen of a view that asks something; its cautions come first, until `doing.reread` says they were read.
  const screen = (view, doing) =>
    (view.cautions.length && !doing.reread ? mind(view, doing) : SCREENS[view.kind](view, doing));

  const asks = view => view.kind in SCREENS;

  return Object.freeze({ screen, asks });
})();
