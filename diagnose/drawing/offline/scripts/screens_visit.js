"use strict";

/*
 * A visit from the first screen on: what is kept on this phone, what it means for whatever is begun, danger told
 * anywhere. A walk in hand is screens_walk.js's, a round rounds_run.js's.
 */
Diagnose.visit = (() => {
  const layout = Diagnose.layout;
  const WENT_WRONG = "Something in this page went wrong. Is anything dangerous? Then get away from it, and call 112.";

  let data;
  let keeping;
  let early;
  let walk;

  const engine = () => Diagnose.engine;
  const worked = () => Diagnose.settings.applied(data, keeping.settings());
  const now = () => Date.now();

  // What the other walks and the place mean for one; without a tree, before any.
  function settingFor(about, id = "") {
    const walks = keeping.walks();
    const found = engine().setting(worked(), about, walks.filter(each => each.id !== id), now());
    const stoppedBy = found.stoppedBy ?? Diagnose.rounds.stoppedBy(walks) ?? early.stoppedBy();
    return { ...found, stoppedBy };
  }

  // The ids of everything that stops a walk now.
  function stops() {
    const walks = keeping.walks();
    const onRounds = Diagnose.rounds.stoppedBy(walks) === null ? [] : ["a round"];
    return [
      ...walks.filter(each => each.state === "stopped").map(each => each.id), ...onRounds,
      ...early.stops().map(each => each.id),
    ];
  }

  function putDown() {
    Diagnose.rounds.leave();
    walk.putDown();
  }

  // The first screen.
  function start() {
    putDown();
    const last = keeping.walks()[0];
    const stopped = last && last.state === "stopped" && Diagnose.tree(last.tree) ? () => walk.take(last) : null;
    layout.show(Diagnose.start.screen(worked(), keeping, {
      choose: walk.choose,
      resume: walk.resume,
      settings: () => layout.show(Diagnose.settings.screen(data, keeping, start)),
      due: settingFor(null).due,
      stopped: early.stops().length ? showEarlyStop : stopped,
      stoppedTold: early.told(),
      kept: Diagnose.keptThings.any(keptHost()) ? Diagnose.keptThings.open(keptHost()).list : null,
      practise,
      certificate: Diagnose.words.noCertificate,
      rounds: {
        entries: Diagnose.rounds.entries(), waiting: Diagnose.rounds.waiting(), begin: Diagnose.rounds.begin,
        resume: Diagnose.rounds.resume,
      },
    }));
  }

  const keptHost = () => ({
    keeping, early, start, showEarlyStop,
    // What the page does not hold any more is shown as the stop that fits any danger.
    showWalk: each => (Diagnose.tree(each.tree) ? walk.take(each) : showEarlyStop()),
    showRound: id => Diagnose.rounds.showStop(id) || showEarlyStop(),
    startedLately: each => {
      const tree = Diagnose.tree(each.tree);
      return tree !== null && engine().setting(worked(), tree, [each], now()).startedBefore > 0;
    },
  });

  // Danger ends whatever is in hand in a stop without a further question, whatever else goes wrong.
  function danger() {
    const inHand = Diagnose.rounds.active() ? Diagnose.rounds : walk.active() ? walk : null;
    if (inHand === null) {
      stopBeforeAWalk();
      return;
    }
    try {
      inHand.danger();
    } catch (error) {
      console.warn(error);
      stopBeforeAWalk();
    }
  }

  function stopBeforeAWalk() {
    early.add(data.dangerTold.referrals[0]);
    showEarlyStop();
  }

  function showEarlyStop() {
    const stop = engine().dangerNow(settingFor(null));
    putDown();
    layout.show(Diagnose.result.screen(stop, {
      start: () => {
        early.closeAll();
        start();
      },
    }));
  }

  function practise() {
    const container = Diagnose.dom.make("div", {});
    layout.show({ heading: "Practise", body: [container], back: start });
    Diagnose.practise.start(container);
  }

  // What another window has kept matters here too.
  function onOtherStop() {
    walk.onOtherWindow();
    Diagnose.rounds.onStop();
  }

  function begin() {
    data = Diagnose.data;
    keeping = Diagnose.keeping.open(data.vehicle?.name ?? "");
    early = Diagnose.earlyStops.open(now);
    walk = Diagnose.walkInHand.open({
      keeping, role: data.role, now, settingFor, stops, start, cleared: early.clear,
      notices: view => (view.kind === "cleared-question" ? early.told() : []),
    });
    layout.begin(danger);
    window.addEventListener("error", () => layout.tell(WENT_WRONG));
    keeping.watch(walk.onOtherWindow);
    early.watch(onOtherStop);
    document.addEventListener("visibilitychange", walk.onWake);
    // Each walk that is kept is read once before anything rests on it.
    keeping.sift(kept => engine().setting(worked(), Diagnose.tree(kept.tree), [kept], now()));
    Diagnose.rounds.open({
      data: worked, walks: keeping.walks, vehicle: keeping.vehicle, trouble: keeping.trouble, start, walk: walk.choose,
      now, setting: () => settingFor(null),
      stopOfWalks: () => engine().setting(worked(), null, keeping.walks(), now()).stoppedBy,
      early: early.stoppedBy, earlyTold: early.told, cleared: early.clear,
    });
    show();
  }

  // A stop that nobody has read to its end is what the page opens with; else the first screen.
  function show() {
    const last = keeping.walks()[0];
    const stopped = last && last.state === "stopped" && !last.closed && Diagnose.tree(last.tree);
    if (early.stops().some(each => !each.closed)) {
      showEarlyStop();
    } else if (Diagnose.rounds.takeStop(stopped ? last.changed : "")) {
      return;
    } else if (stopped) {
      walk.take(last);
    } else {
      start();
    }
  }

  return Object.freeze({ begin });
})();
