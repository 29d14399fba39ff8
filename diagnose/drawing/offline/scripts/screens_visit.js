"use strict";

/*
 * A visit from the first screen to the last: chooses, walks, keeps each answer before the next question shows,
 * goes on where something was left off, and hands over.
 */
Diagnose.visit = (() => {
  const layout = Diagnose.layout;
  const { button, make } = Diagnose.dom;
  const ELSEWHERE = "This walk has gone on in another window. Here nothing more of it is kept.";
  const WENT_WRONG = "Something in this page went wrong. Is anything dangerous? Then get away from it, and call 112.";

  let data;
  let keeping;
  let tree = null;
  let walk = null;
  let setting = null;
  let stopsKnown = [];
  let been = new Set();
  let read = "";
  let onScreen = "";

  const engine = () => Diagnose.engine;
  const worked = () => Diagnose.settings.applied(data, keeping.settings());
  const now = () => Date.now();
  const time = () => new Date(now()).toISOString();

  // What the other walks and the place mean for one; without a tree, before any.
  function settingFor(about, id = "") {
    const walks = keeping.walks();
    const found = engine().setting(worked(), about, walks.filter(each => each.id !== id), now());
    return { ...found, stoppedBy: found.stoppedBy ?? Diagnose.rounds.stoppedBy(walks) };
  }

  function stops() {
    const walks = keeping.walks();
    const onRounds = Diagnose.rounds.stoppedBy(walks) === null ? [] : ["a round"];
    return [...walks.filter(each => each.state === "stopped").map(each => each.id), ...onRounds];
  }

  // What a walk stands on: its tree, and what all others that are kept mean for it.
  function standOn(id, kept = "") {
    Diagnose.rounds.leave();
    tree = Diagnose.tree(id);
    setting = settingFor(tree, kept);
    stopsKnown = stops();
  }

  // Whether another window has met danger since: then this walk is taken up anew, which asks about it first.
  function stoppedMeanwhile() {
    const asks = walk && Diagnose.questions.asks(engine().view(tree, walk.journal, now(), setting));
    const met = asks && stops().some(each => each !== walk.id && !stopsKnown.includes(each));
    if (met) {
      resume(walk);
    }
    return met;
  }

  function putDown() {
    Diagnose.rounds.leave();
    [tree, walk, setting, been, read] = [null, null, null, new Set(), ""];
  }

  // The first screen.
  function start() {
    putDown();
    const last = keeping.walks()[0];
    layout.show(Diagnose.start.screen(worked(), keeping, {
      choose,
      resume,
      settings: () => layout.show(Diagnose.settings.screen(data, keeping, start)),
      due: settingFor(null).due,
      stopped: last && last.state === "stopped" && Diagnose.tree(last.tree) ? () => take(last) : null,
      practise,
      certificate: Diagnose.words.noCertificate,
      rounds: {
        entries: Diagnose.rounds.entries(), waiting: Diagnose.rounds.waiting(), begin: Diagnose.rounds.begin,
        resume: Diagnose.rounds.resume,
      },
    }));
  }

  // Back to where a walk was opened from: the round that found something wrong, or the first screen.
  function home() {
    const round = walk?.round;
    putDown();
    if (round) {
      Diagnose.rounds.resume(round);
    } else {
      start();
    }
  }

  // `origin` is {round, task} of the round on which it was found, or empty.
  function choose(id, carried = [], origin = {}) {
    standOn(id);
    const opened = time();
    walk = {
      id: `${opened}-${Math.random().toString(36).slice(2, 8)}`, tree: id, digest: tree.digest,
      vehicle: keeping.vehicle, role: data.role, opened, changed: opened, state: "open",
      journal: engine().begin(tree, now(), setting, carried), revision: 0, ...origin,
    };
    show();
  }

  // Takes a walk in hand as it stands.
  function take(kept) {
    standOn(kept.tree, kept.id);
    walk = kept;
    show();
  }

  // Goes on with a walk; what cannot be read as one is put aside.
  function resume(kept) {
    try {
      standOn(kept.tree, kept.id);
      walk = kept;
      if (engine().state(tree, kept.journal, now(), setting) !== "stopped") {
        walk.journal = engine().resume(tree, kept.journal, now(), setting, kept.digest);
        walk.digest = tree.digest;
      }
    } catch (error) {
      console.warn(error);
      keeping.putAside(kept.id);
      start();
      return;
    }
    keepAndShow();
  }

  // One operation of the engine; what it refuses is said, and the question stands.
  function step(operation) {
    if (stoppedMeanwhile()) {
      return;
    }
    let journal;
    try {
      journal = operation();
    } catch (error) {
      if (error instanceof Diagnose.NotNow || error instanceof Diagnose.BadReading) {
        layout.tell(error.message);
        return;
      }
      throw error;
    }
    walk.journal = journal;
    keepAndShow();
  }

  function keepAndShow() {
    walk.state = engine().state(tree, walk.journal, now(), setting);
    walk.changed = time();
    if (keeping.put(walk)) {
      show();
    } else {
      elsewhere();
    }
  }

  // Danger ends the walk in a stop without a further question, whatever else goes wrong.
  function danger() {
    if (Diagnose.rounds.active()) {
      dangerOnARound();
      return;
    }
    if (!walk || !tree) {
      stopBeforeAWalk();
      return;
    }
    try {
      walk.journal = engine().danger(tree, walk.journal, now(), setting);
      keepAndShow();
    } catch (error) {
      console.warn(error);
      stopBeforeAWalk();
    }
  }

  function dangerOnARound() {
    try {
      Diagnose.rounds.danger();
    } catch (error) {
      console.warn(error);
      stopBeforeAWalk();
    }
  }

  function stopBeforeAWalk() {
    const stop = engine().dangerNow(settingFor(null));
    putDown();
    layout.show(Diagnose.result.screen(stop, { start }));
  }

  function show() {
    const view = engine().view(tree, walk.journal, now(), setting);
    onScreen = JSON.stringify(view);
    if (Diagnose.questions.asks(view)) {
      layout.show(Diagnose.questions.screen(view, asking(view)));
    } else {
      layout.show(Diagnose.result.screen(view, ending(view)));
    }
  }

  const can = (view, command) => view.commands.includes(command);

  function asking(view) {
    const cautions = `${view.kind} ${view.check ?? view.remedy} ${JSON.stringify(view.cautions)}`;
    const on = act => (...given) => {
      const places = (Array.isArray(view.where) ? view.where : [view.where]).map(where => where?.place);
      step(() => act(...given));
      places.filter(Boolean).forEach(place => been.add(place));
    };
    return {
      reread: read === cautions,
      read: () => {
        read = cautions;
        show();
      },
      answer: on(answer => engine().answer(tree, walk.journal, answer, now(), setting)),
      reading: on(text => {
        const value = engine().parseReading(tree.checks[view.check] ?? tree.facts[view.check], text);
        return engine().reading(tree, walk.journal, value, null, now(), setting);
      }),
      notSure: on(() => engine().notSure(tree, walk.journal, now(), setting)),
      back: can(view, "back") ? () => step(() => engine().back(tree, walk.journal, now(), setting)) : home,
      leaveOff: can(view, "leaveOff") ? () => step(() => engine().leaveOff(tree, walk.journal, now(), setting)) : null,
      why: can(view, "why") ? () => reasons() : null,
      been,
    };
  }

  function reasons() {
    const reason = engine().why(tree, walk.journal, now(), setting);
    const interval = reason.sure ? engine().intervals(tree, walk.journal)[reason.sure.cause] : null;
    return { reason, interval };
  }

  function ending(view) {
    const firm = ["referred", "stopped"].includes(view.kind);
    const doing = {
      start: () => close(start),
      round: walk.round ? () => close(home) : null,
      back: can(view, "back") ? () => step(() => engine().back(tree, walk.journal, now(), setting)) : null,
      sheet: firm ? () => sheet(view) : null,
      code: firm ? Diagnose.code.of(tree, walk) : "",
    };
    if (view.kind === "left-off") {
      doing.resume = () => resume(walk);
      doing.kept = keeping.trouble.length ? keeping.trouble[0] : "All that you found is kept on this phone.";
    }
    if (view.kind === "handed-over" && view.here) {
      const other = Diagnose.tree(view.tree);
      doing.following = other.symptom;
      const origin = walk.round ? { round: walk.round, task: walk.task } : {};
      doing.follow = () => choose(view.tree, engine().carried(view, tree, other), origin);
    } else if (view.kind === "handed-over") {
      doing.referral = tree.referrals[tree.referTo];
      doing.ownNumber = setting.ownNumbers[tree.referTo] ?? "";
    }
    return doing;
  }

  // Leaves an end; a stop that was read is not shown again by itself.
  function close(leave) {
    if (walk) {
      walk.closed = true;
      keeping.put(walk);
    }
    leave();
  }

  function sheet(view) {
    const container = make("div", { class: "sheet" });
    layout.show({
      heading: "Hand-over sheet", about: view.symptom, manner: "paper", body: [container], back: show,
      answers: [button("Print", () => window.print(), { manner: "answer" })],
      firm: view.kind === "stopped",
    });
    Diagnose.sheet.render(container, tree, walk, setting);
  }

  function practise() {
    const container = make("div", {});
    layout.show({ heading: "Practise", body: [container], back: start });
    Diagnose.practise.start(container);
  }

  // Another window has gone on with this walk: said, and the way on is from where it stands there.
  function elsewhere() {
    const newest = keeping.walks().find(each => each.id === walk.id);
    layout.show({
      heading: ELSEWHERE,
      about: tree.symptom,
      back: start,
      answers: [
        newest ? button("Go on here", () => resume(newest), { manner: "answer" }) : null,
        button("To the start", start, { manner: "answer unsure" }),
      ],
    });
  }

  function onOtherWindow() {
    const newest = walk && keeping.walks().find(each => each.id === walk.id);
    if (newest && newest.revision !== walk.revision) {
      elsewhere();
    } else {
      stoppedMeanwhile();
    }
  }

  // Answers about danger hold for half an hour: a phone that slept longer asks them again.
  function onWake() {
    if (document.visibilityState !== "visible" || !walk) {
      return;
    }
    const view = engine().view(tree, walk.journal, now(), setting);
    if (!Diagnose.questions.asks(view)) {
      return;
    }
    const journal = engine().refresh(tree, walk.journal, now(), setting);
    if (journal.length !== walk.journal.length || JSON.stringify(view) !== onScreen) {
      walk.journal = journal;
      keepAndShow();
    }
  }

  function begin() {
    data = Diagnose.data;
    keeping = Diagnose.keeping.open(data.vehicle?.name ?? "");
    layout.begin(danger);
    window.addEventListener("error", () => layout.tell(WENT_WRONG));
    keeping.watch(onOtherWindow);
    document.addEventListener("visibilitychange", onWake);
    // Each walk that is kept is read once before anything rests on it.
    keeping.sift(kept => engine().setting(worked(), Diagnose.tree(kept.tree), [kept], now()));
    Diagnose.rounds.open({
      data: worked, walks: keeping.walks, vehicle: keeping.vehicle, trouble: keeping.trouble, start, walk: choose, now,
      setting: () => settingFor(null),
      stopOfWalks: () => engine().setting(worked(), null, keeping.walks(), now()).stoppedBy,
    });
    const last = keeping.walks()[0];
    const stopped = last && last.state === "stopped" && !last.closed && Diagnose.tree(last.tree);
    if (stopped && !Diagnose.rounds.takeStop(last.changed)) {
      take(last);
    } else if (!stopped && !Diagnose.rounds.takeStop()) {
      start();
    }
  }

  return Object.freeze({ begin });
})();
