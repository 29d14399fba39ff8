"use strict";

/**
 * An exercise on the phone, from choosing a symptom to how it went.
 *
 *     Diagnose.practise.start(container)   the first screen; everything else goes on in the same container
 *
 * It is never a walk: nothing of it is kept as one, and every screen says that it is practice. What was
 * missed earlier is kept on this phone alone, for exercises on that; Danger at the foot of the screen is
 * for a real one.
 */
Diagnose.practise = (() => {
  const KEY = "diagnose.practise";
  const HOW = [
    ["share", "Any, as often as it occurs"],
    ["easy", "An easy one"],
    ["middling", "A middling one"],
    ["hard", "A hard one"],
    ["misses", "One that I missed before"],
  ];
  const REAL =
    "The red button Danger at the foot of the screen is not part of the exercise: it is for a real one.";

  const T = () => Diagnose.practiseTold;
  const words = () => Diagnose.data.practise.words;

  let place = null;
  let how = "share";
  // Said on every screen of an exercise on a tree of one's own.
  let unchecked = "";
  // The parts of the list that the learner has unfolded stay so from one choice to the next.
  let unfolded = new Set();

  // The elements of the page come behind this script.
  const make = (...given) => Diagnose.dom.make(...given);
  const say = (...given) => Diagnose.dom.say(...given);
  const button = (...given) => Diagnose.dom.button(...given);
  const folded = (...given) => Diagnose.dom.folded(...given);
  const list = (...given) => Diagnose.dom.list(...given);

  // A new screen in the container; reading starts at its heading.
  function show(title, ...nodes) {
    const heading = make("h2", { tabindex: "-1" }, title);
    const banner = make("p", { class: "practice" }, "PRACTICE");
    place.replaceChildren(banner, ...[say(unchecked, "remark")].filter(Boolean), heading, ...nodes.flat(Infinity).filter(Boolean));
    Diagnose.dom.shown();
    heading.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }

  function start(container) {
    place = container;
    first();
  }

  // The first screen: an exercise that somebody gave out, or one of one's own.
  function first() {
    unchecked = "";
    const described = { "aria-describedby": "exercise-trouble", autocomplete: "off", spellcheck: "false" };
    const code = make("input", { type: "text", id: "exercise-code", ...described });
    const take = () => {
      try {
        const ids = Diagnose.data.trees.map(each => each.id);
        const { tree, seed, fault } = Diagnose.exerciseCodes.read(code.value, ids);
        begin(Diagnose.practiseRun(tree, seed, fault));
      } catch (error) {
        if (!(error instanceof Diagnose.exerciseCodes.CannotRead)) throw error;
        said.textContent = error.message;
        code.focus();
      }
    };
    const said = make("p", { id: "exercise-trouble", role: "status", class: "strong" });
    show(
      "Find a hidden fault",
      say(words().only, "strong"),
      make("h3", {}, "An exercise that you were given"),
      make("label", { for: "exercise-code" }, "Its code"),
      code,
      said,
      button("Take this exercise", take, { manner: "answer" }),
      make("h3", {}, "An exercise of your own"),
      which(),
      buttons(Diagnose.data.trees.map(each => [each.symptom, () => draw(each.id)])),
    );
  }

  // Which fault is to be hidden.
  function which() {
    const select = make(
      "select",
      { id: "exercise-how" },
      HOW.map(([id, says]) => make("option", { value: id }, says)),
    );
    select.value = how;
    select.addEventListener("change", () => {
      how = select.value;
    });
    return [make("label", { for: "exercise-how" }, "Which fault is hidden?"), select];
  }

  function draw(id) {
    const tree = Diagnose.tree(id);
    const seed = crypto.getRandomValues(new Uint32Array(1))[0] % Diagnose.data.practise.seeds;
    const { byShare, byMisses, byDifficulty } = Diagnose.hiding;
    const faults = {
      share: () => byShare(tree, seed),
      misses: () => byMisses(tree, seed, earlier(id)),
    };
    begin(Diagnose.practiseRun(tree, seed, (faults[how] ?? (() => byDifficulty(tree, seed, how)))()));
  }

  // The story of the vehicle and the rules, before anything is chosen.
  function begin(run) {
    unfolded = new Set();
    unchecked = run.tree.shipped ? "" : Diagnose.words.notChecked;
    const known = T().story(run);
    show(
      run.tree.symptom,
      known.length ? [make("h3", {}, "What is known of it"), list(known)] : null,
      say(words().rules),
      say(words().traps),
      say(words().way),
      say(REAL, "strong"),
      say(`Exercise ${Diagnose.exerciseCodes.written(run.tree, run.seed, run.fault)}`, "code"),
      button("Begin", () => choose(run, null), { manner: "answer" }),
    );
  }

  // What came of the last choice, and everything that can still be chosen.
  function choose(run, turn) {
    const came = turn === null ? null : T().outcome(run, turn);
    show(
      came === null ? run.tree.symptom : came.title,
      came === null
        ? null
        : make(
            "div",
            { class: came.danger ? "came marked-turn" : "came" },
            came.lines.map(line => say(line)),
            say(came.spent, "quiet"),
          ),
      run.over()
        ? ended(run)
        : [
            make("h3", {}, "What do you do?"),
            groups(run),
            run.turns.length ? soFar(run) : null,
            button("Leave off, and see how it went", () => debrief(run), { manner: "answer unsure" }),
          ],
    );
    // What it lost is reckoned while the learner reads.
    if (turn !== null) setTimeout(() => Diagnose.practiseScore.worth(run, turn), 50);
  }

  const buttons = entries =>
    make(
      "ul",
      { class: "symptoms" },
      entries.map(([says, act]) => make("li", {}, button(says, act, { manner: "answer" }))),
    );

  function groups(run) {
    const left = run.left();
    const entry = each => [
      `${each.number}. ${T().inOneLine(run, each)}`,
      () => choose(run, run.choose(each)),
    ];
    return Object.entries(Diagnose.data.practise.headings).map(([group, heading]) => {
      const own = left.filter(each => each.group === group);
      if (!own.length) return null;
      const part = folded(`${heading} (${own.length})`, () => buttons(own.map(entry)), {
        class: "system",
        open: unfolded.has(group),
      });
      part.addEventListener("toggle", () => (part.open ? unfolded.add(group) : unfolded.delete(group)));
      return part;
    });
  }

  const soFar = run =>
    folded("What you have done", () => [
      make(
        "ol",
        {},
        run.turns.map(turn => make("li", {}, T().inShort(run, turn))),
      ),
      say(`So far ${T().partsInWords(run.spent())}.`, "quiet"),
    ]);

  // What the learner thinks it is, where somebody else has to find out or nobody asked to stop.
  function ended(run) {
    const last = run.turns[run.turns.length - 1].became;
    if (!["handed-over", "stopped"].includes(last) || run.stop() !== null) {
      return button("See how it went", () => debrief(run), { manner: "answer" });
    }
    const name = id => () => {
      run.named = id;
      debrief(run);
    };
    return [
      make("h3", {}, "What do you tell them it most likely is?"),
      buttons(
        run.tree.hypotheses.map(({ id, says }) => [Diagnose.figures.cause({ cause: id, says }), name(id)]),
      ),
      button("I cannot tell", name(null), { manner: "answer unsure" }),
    ];
  }

  function debrief(run) {
    const score = Diagnose.practiseScore.scored(run);
    note(run, score);
    const numbers = run.turns.map(turn => turn.choice.number);
    const { tree, seed } = run;
    const code = Diagnose.exerciseCodes.result(tree, seed, run.fault, numbers, run.choices.length, run.named);
    const part = (title, lines) =>
      lines.length ? [make("h3", {}, title), lines.map(line => say(line))] : null;
    const [fault, ...about] = T().fault(run, score);
    const [safety, ...why] = T().marks(score);
    const [costliest = "", ...because] = T().costliest(run, score);
    show(
      "How it went",
      say(fault, "strong"),
      about.map(line => say(line)),
      say(safety, "strong"),
      why.map(line => say(line)),
      part("Minutes", T().minutes(run, score)),
      costliest ? [make("h3", {}, "The costliest turn"), say(costliest, "strong")] : null,
      because.map(line => say(line)),
      T()
        .misleading(run, score)
        .map(lines => part("An answer misled, as happens on real vehicles", lines)),
      make("h3", {}, "The best route on this vehicle"),
      make(
        "ol",
        {},
        score.best.turns.map(turn => make("li", {}, T().inShort(score.best, turn))),
      ),
      run.turns.length ? soFar(run) : null,
      make("h3", {}, "Your result, for whoever trains you"),
      say(code, "code"),
      say(words().certificate, "strong certificate"),
      button("Another exercise", () => first(), { manner: "answer" }),
    );
  }

  // How often each fault of a tree was met and missed: {fault: {met, missed}}.
  function earlier(id) {
    const counts = each => Number.isSafeInteger(each?.met) && Number.isSafeInteger(each?.missed);
    return Object.fromEntries(Object.entries(kept()[id] ?? {}).filter(([, each]) => counts(each)));
  }

  // What is kept of all trees; nothing where it cannot be read.
  function kept() {
    try {
      const all = JSON.parse(window.localStorage.getItem(KEY));
      return typeof all === "object" && all !== null ? all : {};
    } catch {
      return {};
    }
  }

  function note(run, score) {
    if (!run.over() || score.found === null) return;
    const id = run.vehicle.fault.id;
    const before = earlier(run.tree.id);
    const { met, missed } = before[id] ?? { met: 0, missed: 0 };
    before[id] = { met: met + 1, missed: missed + (score.found ? 0 : 1) };
    try {
      window.localStorage.setItem(KEY, JSON.stringify({ ...kept(), [run.tree.id]: before }));
    } catch {
      // This browser keeps nothing: exercises on what was missed are then like any other.
    }
  }

  return Object.freeze({ start });
})();
