"use strict";

/*
 * The first screen: what is wrong, to be found by tapping alone, by system and by what people say of it. There
 * is no field to type in, so no word of danger can go unheard; Danger stands below as on every screen.
 */
Diagnose.start = (() => {
  const { make, say, button, fill } = Diagnose.dom;
  const STOPPED = "The last walk was stopped for danger: read it again";
  const AGAIN = "Read again what to do then";
  const FEW = 6;
  const MOST_SAID = 3;
  const MOST_TO_RESUME = 3;

  const day = time => new Date(time).toLocaleDateString("en-GB", { day: "numeric", month: "long" });

  // One symptom: its name, and what people also say.
  function symptom(heading, choose) {
    const node = button("", () => choose(heading.id), { manner: "answer symptom" });
    const said = heading.alsoSaid.slice(0, MOST_SAID).join(", ");
    return fill(
      node,
      make("span", {}, heading.symptom),
      said ? make("span", { class: "quiet" }, said) : null,
      heading.shipped ? null : make("span", { class: "quiet" }, "(your own tree; not checked by this project)"),
    );
  }

  // The systems, each folded up where there are many.
  function systems(data, choose) {
    const groups = new Map();
    for (const heading of data.trees) {
      groups.set(heading.system, [...(groups.get(heading.system) ?? []), heading]);
    }
    return [...groups].map(([id, headings]) => {
      const title = data.common.systems[id]?.title ?? id;
      const entries = make("ul", { class: "symptoms" }, headings.map(each => make("li", {}, symptom(each, choose))));
      return data.trees.length > FEW
        ? make("details", { class: "system" }, make("summary", {}, title), entries)
        : make("section", {}, make("h2", {}, title), entries);
    });
  }

  // Walks that were left off or broke off, to be gone on with.
  function waiting(data, walks, { resume, rounds }) {
    const names = new Map(data.trees.map(heading => [heading.id, heading.symptom]));
    const open = walks.filter(walk => ["open", "left-off"].includes(walk.state) && names.has(walk.tree));
    const begun = rounds?.waiting ?? [];
    if (!open.length && !begun.length) {
      return null;
    }
    const entry = (title, says, changed, act) =>
      fill(button("", act, { manner: "answer symptom" }),
        make("span", {}, title),
        make("span", { class: "quiet" }, `${says} (${day(changed)})`));
    return make(
      "section", { class: "waiting" },
      make("h2", {}, "Something was left off."),
      open.slice(0, MOST_TO_RESUME)
        .map(walk => entry("Go on with it", names.get(walk.tree), walk.changed, () => resume(walk))),
      begun.slice(0, MOST_TO_RESUME)
        .map(each => entry("Go on with the round", each.title, each.changed, () => rounds.resume(each.id))),
      make("p", { class: "strong" }, "Or something new:"),
    );
  }

  // Rounds: what is looked at before anything shows.
  function roundsToBegin(rounds) {
    if (!rounds?.entries.length) {
      return null;
    }
    const entry = each =>
      fill(button("", () => rounds.begin(each.id), { manner: "answer symptom" }),
        make("span", {}, each.title), make("span", { class: "quiet" }, each.says));
    return make(
      "section", {},
      make("h2", {}, "Nothing is wrong, but it is to be made ready?"),
      make("ul", { class: "symptoms" }, rounds.entries.map(each => make("li", {}, entry(each)))),
    );
  }

  // What is due by the vehicle's card.
  function overdue(due) {
    const word = make("h2", { class: "word" }, "NOTICE");
    return due.length ? make("section", { class: "signal notice" }, word, due.map(each => say(each))) : null;
  }

  // `doing` is {choose(tree), resume(walk), settings(), kept() or null, practise(), stopped() or null, stoppedTold,
  // due, certificate, rounds};
  // `rounds` is {entries, waiting, begin(id), resume(id)}, or left out.
  function screen(data, keeping, doing) {
    return {
      heading: "What is wrong?",
      about: data.vehicle?.name ? `For: ${data.vehicle.name}` : "",
      body: [
        keeping.trouble.map(each => say(each, "remark")),
        say("If you smell gas, an alarm sounds, somebody feels unwell, or there is smoke, press: Danger."),
        (doing.stoppedTold ?? []).map(each => say(`${each} Nobody has said that it was cleared.`, "strong")),
        doing.stopped ? button(doing.stoppedTold?.length ? AGAIN : STOPPED, doing.stopped, { manner: "answer" }) : null,
        overdue(doing.due),
        waiting(data, keeping.walks(), doing),
        systems(data, doing.choose),
        roundsToBegin(doing.rounds),
      ],
      below: [
        button("Your country and numbers", doing.settings, { manner: "plain" }),
        doing.kept ? button("What is kept on this phone", doing.kept, { manner: "plain" }) : null,
        button("Practise with a hidden fault", doing.practise, { manner: "plain" }),
        say(doing.certificate, "certificate"),
        say(`Made on ${data.made} by diagnose ${data.version}. This page loads nothing and sends nothing.`, "quiet"),
      ],
    };
  }

  return Object.freeze({ screen });
})();
