"use strict";

/**
 * The screens of a round, made of the same parts as those of a walk. What they show comes from rounds_tasks.js; what
 * is pressed goes back to it through `doing`, and what is missing there is not offered.
 */
Diagnose.roundsScreens = (() => {
  const { make, say, button, folded, list, fill } = Diagnose.dom;
  const { cautions, ownNumber } = Diagnose.parts;
  const { figures } = Diagnose;
  const record = () => Diagnose.roundsRecord;
  const NOT_OURS = "Part of this round is not what comes with the program: nobody of this project has checked it.";
  const ENDS = [["fine", "Fine"], ["wrong", "Wrong"], ["not-done", "Not done"], ["not-fitted", "Not fitted"]];
  const ENDS_OVERDUE = [["fine", "Nothing else is wrong"], ["wrong", "Something else is wrong too"], ...ENDS.slice(2)];
  const ANSWERS = [
    "Fine: looked at or done as it says, and nothing is wrong.",
    "Wrong: anything that the text calls wrong, or that you doubt. You can find out why at once.",
    "Not done: not now. It is offered again when you take the round up.",
    "Not fitted: this vehicle has no such thing.",
  ];
  const DOUBT = "To tell the four answers apart";

  const common = (of, doing, rest) => ({ about: record().heading(of, doing.vehicle), back: doing.back, ...rest });
  const plain = (text, act) => button(text, act, { manner: "plain" });

  // A task in the list: what it is, and how it stands or what it waits for.
  function entry(of, id, standing, doing) {
    const mark = standing.read.marks.get(id);
    const waits = standing.state.waits.get(id);
    const again = standing.cured.has(id) ? `${whyAgain(mark)}: look at it once more` : null;
    const how = again ?? (mark ? record().ENDS[mark.end] : waits ? waitsFor(of, waits) : "open");
    const inner = [make("span", {}, of.byId[id].what), make("span", { class: "quiet" }, how)];
    // What was marked can be looked at again, even where what comes before it was since called not done.
    if (waits && !mark) {
      return make("li", { class: "symptom remark" }, inner);
    }
    return make("li", {}, fill(button("", () => doing.task(id), { manner: "answer symptom" }), inner));
  }

  const waitsFor = (of, waits) => `not before this is done: ${figures.inside(of.byId[waits[waits.length - 1]].what)}`;

  // Of a short round what it has, and what was marked all the same.
  const isShown = (of, standing, id) => of.only === null || of.only.has(id) || standing.read.marks.has(id);

  // All tasks by place, in the order in which the places are come to.
  function tasks(of, standing, doing) {
    const places = new Map();
    const shown = id => standing.state.there.includes(id) && isShown(of, standing, id);
    for (const id of of.order.filter(shown)) {
      const { at } = of.byId[id];
      places.set(at, [...(places.get(at) ?? []), id]);
    }
    return [...places].map(([at, ids]) =>
      make(
        "section", {},
        make("h2", {}, figures.sentence(Diagnose.data.common.places[at].says).replace(/\.$/, "")),
        make("ul", { class: "symptoms" }, ids.map(id => entry(of, id, standing, doing))),
      ));
  }

  function overview(of, standing, doing) {
    const there = standing.state.there.filter(id => isShown(of, standing, id));
    const now = Diagnose.roundsStanding.leftInTime(of, standing);
    const behind = there.length - now.left.length;
    const next = standing.next ? of.byId[standing.next].what : "";
    return common(of, doing, {
      heading: of.title,
      about: doing.vehicle ? `For: ${doing.vehicle}` : "",
      body: [
        doing.notices.map(each => say(each, "remark")),
        of.shipped ? null : say(NOT_OURS, "strong"),
        say(figures.ended(of.says)),
        say(`${behind} of ${there.length} tasks behind you. ${now.left.length ? leftOver(now) : ""}`, "quiet"),
        Diagnose.roundsWorth.shortTold(of, standing),
        make(
          "div", { class: "waiting" },
          next ? button(`Next: ${next}`, doing.next, { manner: "answer give" }) : null,
          Diagnose.roundsWorth.wholeAgain(of, doing),
        ),
        Diagnose.roundsWorth.choices(of, standing, doing),
        Diagnose.roundsWorth.told(of, standing),
        tasks(of, standing, doing),
      ],
      answers: [button("How it stands", doing.result, { manner: "answer" })],
      below: [
        doing.undo ? plain(doing.undo.says, doing.undo.act) : null,
        doing.before ? plain("The code of the last one that ended", doing.before) : null,
        plain("Leave off", doing.leaveOff),
        say(Diagnose.words.noCertificate, "certificate"),
      ],
    });
  }

  const leftOver = now => `${figures.sentence(`left: ${record().leftInWords(now)}`)}`;

  // The cautions by themselves, before anything of the task is asked.
  const mind = (of, texts, doing) => common(of, doing, {
    heading: "Before you go on",
    body: cautions({ cautions: texts }),
    answers: [button("I have read this", doing.read, { manner: "answer" })],
  });

  // What was wrong and is put right since, by its walk or by a new date on the card; or it was looked at long ago.
  function whyAgain(mark) {
    if (mark.end !== "wrong") {
      return "it was looked at too long ago to go by";
    }
    return mark.ofDate ? "its date is new on the card" : "its walk ended in a cure";
  }

  /** `about` is {number, count, cautions, wants, still, overdue, kept, again, where, before}. */
  function task(of, one, about, doing) {
    const { overdue } = about;
    const wants = about.wants.map(each => figures.sentence(each)).join(" ");
    const effort = { minutes: one.minutes, wait: one.wait, price: one.price };
    return common(of, doing, {
      first: [
        of.shipped ? null : say(NOT_OURS, "remark"),
        say(`Task ${about.number} of ${about.count}`, "quiet"),
        about.again ? say(`${about.before === "wrong" ? "It was wrong, and " : ""}${about.again}: look at it once more.`
          .replace(/^i/, "I"), "remark") : null,
        about.kept.map(ask => say(`It is kept, since this is not known of the vehicle: ${ask}`, "remark")),
        overdue.length ? [
          overdue.map(each => say(each, "remark strong")),
          say("So it is wrong by its date. Look at the rest all the same. If it was replaced, put the new date on the "
            + "card.", "remark"),
        ] : null,
      ],
      heading: figures.sentence(one.what),
      body: [
        say(one.how),
        wants ? say(wants, "strong") : null,
        about.still > 0 ? say(`A wait has still to run before it: ${figures.duration(about.still)}.`, "remark") : null,
        say(figures.takes(effort, [about.where], one.needs, doing.been), "quiet"),
        one.by === "owner" ? null : say("This is for a technician. Not one? Answer: not done.", "remark"),
      ],
      answers: [
        about.before ? say(`Marked so far: ${record().ENDS[about.before]}.`) : null,
        (overdue.length ? ENDS_OVERDUE : ENDS).map(([end, says]) =>
          button(says, () => doing.mark(end), { manner: end === "not-done" ? "answer unsure" : "answer" })),
      ],
      below: [
        about.cautions.length ? folded("Cautions", () => cautions({ cautions: about.cautions })) : null,
        folded(DOUBT, () => list(ANSWERS)),
        plain("Leave off", doing.leaveOff),
      ],
    });
  }

  /** What something wrong means at once, and what opens: `trees` are headings of the page, `to` a referral. */
  function wrong(of, one, trees, to, doing) {
    return common(of, doing, {
      heading: `Wrong: ${figures.inside(one.what)}`,
      body: [
        one.mustNotUse ? [say("Until it is put right, do not use:", "strong"), say(figures.ended(one.mustNotUse))] : null,
        trees.length ? say("Questions find out why. What is known comes along; the danger questions come first.") : null,
        one.opens.length && !trees.length ? say("The questions that find out why are not in this page.") : null,
        to ? whom(to, doing) : null,
      ],
      answers: [
        trees.map(tree =>
          fill(button("", () => doing.walk(tree.id), { manner: "answer symptom" }),
            make("span", {}, tree.symptom), make("span", { class: "quiet" }, "find out why"))),
        button("Go on with the round", doing.goOn, { manner: trees.length ? "answer unsure" : "answer" }),
      ],
      below: [doing.undo ? plain(doing.undo.says, doing.undo.act) : null],
    });
  }

  const whom = (to, doing) => [
    say("What you cannot put right is left to:", "strong"),
    say(figures.ended(to.to)),
    doing.ownNumbers[to.id] ? ownNumber(doing.ownNumbers[to.id]) : null,
    doing.register && to.id === "gas-engineer" ? say(`To find one: ${figures.ended(doing.register)}`) : null,
    make("h2", {}, "Tell them:"),
    say(to.say),
    make("h2", {}, "Until they come:"),
    say(to.untilHelp),
  ];

  // Where the round stands: the verdict, what it rests on, what is left, bought, and who is called.
  function result(of, standing, doing) {
    const { told, left, buy, calls } = standing;
    const parts = Object.fromEntries(told.parts);
    const part = (title, entries = []) =>
      (entries.length ? make("section", {}, make("h2", {}, `${title}:`), list(entries)) : null);
    const called = call => make(
      "section", {}, make("h2", {}, "To be called:"), say(figures.ended(call.to.to)),
      doing.ownNumbers[call.to.id] ? ownNumber(doing.ownNumbers[call.to.id]) : null,
      say(`For: ${record().forWhat(of, call)}.`), say(`Tell them: ${call.to.say}`),
    );
    return common(of, doing, {
      heading: told.headline,
      body: [
        part("Must not be used", parts["Must not be used"]),
        part("Why", parts.Why),
        part("Unchecked", parts.Unchecked),
        part(left.length ? `Left: ${record().leftInWords(standing)}` : "", left.map(id => figures.ended(of.byId[id].what))),
        part("Not done", (parts["Not done"] ?? []).filter(() => !left.length)),
        part("Dates", parts.Dates),
        part("Perhaps to be bought", buy),
        calls.map(called),
        say(`If anybody is in danger, call ${doing.numbers}.`, "strong"),
        told.closing.map((each, at) => say(each, at === told.closing.length - 1 ? "strong certificate" : "")),
      ],
      answers: [
        standing.next ? button("Go on with what is left", doing.next, { manner: "answer" }) : null,
        Diagnose.roundsWorth.wholeAgain(of, doing),
        button("The code for the program", doing.code, { manner: "answer" }),
        button("The record as text", doing.record, { manner: "answer" }),
        button("The marks for the program", doing.marks, { manner: "answer" }),
        button("To the start", doing.end, { manner: "answer unsure" }),
      ],
      below: [doing.undo ? plain(doing.undo.says, doing.undo.act) : null],
    });
  }

  const RECORD = "Copy it, or send it on. It tells what the vehicle is called on its card, and nothing of anybody.";
  const MARKS = "Save this as a file on the computer. The program takes the marks in with: diagnose round "
    + "NAME --marks FILE";

  function taken(of, heading, says, text, doing) {
    return common(of, doing, {
      heading,
      body: [say(says), Diagnose.sheet.passingOn(text, heading, true)],
    });
  }

  return Object.freeze({
    whyAgain, overview, mind, task, wrong, result,
    record: (of, text, doing) => taken(of, "The record as text", RECORD, text, doing),
    marks: (of, text, doing) => taken(of, "The marks for the program", MARKS.replace("NAME", of.id), text, doing),
  });
})();
