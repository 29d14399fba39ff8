"use strict";

/*
 * A walk in hand: begun, gone on with, kept with each answer before the next question shows, stopped for danger, put
 * down. What the rest of the page is to it comes in by `open`.
 *
 * `host` is {keeping, role, now(), settingFor(tree, id), stops(), start(), cleared(), notices(view)}: `stops` are the
 * ids of everything that stops a walk now, `cleared` is told when somebody says that the vehicle was cleared.
 */
Diagnose.walkInHand = (() => {
  const layout = () => Diagnose.layout;
  const engine = () => Diagnose.engine;
  const ELSEWHERE = "This walk has gone on in another window. Here nothing more of it is kept.";
  const NOTHING = { tree: null, walk: null, setting: null, stopsKnown: [], read: "", onScreen: "" };

  function open(host) {
    const { keeping, now } = host;
    /** The walk in hand as screens_keeping.js keeps it, its tree, what all else means for it, which stops were there as
     * it was taken up, where somebody has been, and which cautions were read. */
    const hand = { ...NOTHING, been: new Set() };
    const time = () => new Date(now()).toISOString();
    const doing = Diagnose.walkDoing.open(hand, {
      host, step, show, home, resume, choose, close, leave: host.start,
    });

    const viewed = () => engine().view(hand.tree, hand.walk.journal, now(), hand.setting);

    // What a walk stands on: its tree, and what all others that are kept mean for it.
    function standOn(id, kept = "") {
      Diagnose.rounds.leave();
      hand.tree = Diagnose.tree(id);
      hand.setting = host.settingFor(hand.tree, kept);
      hand.stopsKnown = host.stops();
    }

    // Whether another window has met danger since: then this walk is taken up anew, which asks about it first.
    function stoppedMeanwhile() {
      const asks = hand.walk && Diagnose.questions.asks(viewed());
      const met = asks && host.stops().some(each => each !== hand.walk.id && !hand.stopsKnown.includes(each));
      if (met) {
        resume(hand.walk);
      }
      return met;
    }

    const putDown = () => Object.assign(hand, { ...NOTHING, been: new Set() });

    // Back to where a walk was opened from: the round that found something wrong, or the first screen.
    function home() {
      const round = hand.walk?.round;
      putDown();
      if (round) {
        Diagnose.rounds.resume(round);
      } else {
        host.start();
      }
    }

    // `origin` is {round, task} of the round on which it was found, or empty.
    function choose(id, carried = [], origin = {}) {
      standOn(id);
      const opened = time();
      hand.walk = {
        id: `${opened}-${Math.random().toString(36).slice(2, 8)}`, tree: id, digest: hand.tree.digest,
        vehicle: keeping.vehicle, role: host.role, opened, changed: opened, state: "open",
        journal: engine().begin(hand.tree, now(), hand.setting, carried), revision: 0, ...origin,
      };
      show();
    }

    // Takes a walk in hand as it stands.
    function take(kept) {
      standOn(kept.tree, kept.id);
      hand.walk = kept;
      show();
    }

    // Goes on with a walk; what cannot be read as one is put aside.
    function resume(kept) {
      try {
        standOn(kept.tree, kept.id);
        hand.walk = kept;
        if (engine().state(hand.tree, kept.journal, now(), hand.setting) !== "stopped") {
          kept.journal = engine().resume(hand.tree, kept.journal, now(), hand.setting, kept.digest);
          kept.digest = hand.tree.digest;
        }
      } catch (error) {
        console.warn(error);
        keeping.putAside(kept.id);
        host.start();
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
          layout().tell(error.message);
          return;
        }
        throw error;
      }
      const fresh = journal.slice(hand.walk.journal.length);
      hand.walk.journal = journal;
      if (keepAndShow() && fresh.some(line => line.kind === "cleared" && line.answer === "yes")) {
        host.cleared();
      }
    }

    // Whether it was kept; where another window has gone on with it, that is said instead.
    function keepAndShow() {
      hand.walk.state = engine().state(hand.tree, hand.walk.journal, now(), hand.setting);
      hand.walk.changed = time();
      if (!keeping.put(hand.walk)) {
        elsewhere();
        return false;
      }
      show();
      return true;
    }

    // Danger ends the walk in a stop without a further question.
    function danger() {
      hand.walk.journal = engine().danger(hand.tree, hand.walk.journal, now(), hand.setting);
      keepAndShow();
    }

    function show() {
      const view = viewed();
      hand.onScreen = JSON.stringify(view);
      if (Diagnose.questions.asks(view)) {
        const told = { ...view, notices: [...host.notices(view), ...view.notices] };
        layout().show(Diagnose.questions.screen(told, doing.asking(view)));
      } else {
        layout().show(Diagnose.result.screen(view, doing.ending(view)));
      }
    }

    // Leaves an end; a stop that was read is not shown again by itself.
    function close(leave) {
      if (hand.walk) {
        hand.walk.closed = true;
        keeping.put(hand.walk);
      }
      leave();
    }

    // Another window has gone on with this walk: said, and the way on is from where it stands there.
    function elsewhere() {
      const { button } = Diagnose.dom;
      const newest = keeping.walks().find(each => each.id === hand.walk.id);
      layout().show({
        heading: ELSEWHERE,
        about: hand.tree.symptom,
        back: host.start,
        answers: [
          newest ? button("Go on here", () => resume(newest), { manner: "answer" }) : null,
          button("To the start", host.start, { manner: "answer unsure" }),
        ],
      });
    }

    function onOtherWindow() {
      const newest = hand.walk && keeping.walks().find(each => each.id === hand.walk.id);
      if (newest && newest.revision !== hand.walk.revision) {
        elsewhere();
      } else {
        stoppedMeanwhile();
      }
    }

    // Answers about danger hold for half an hour: a phone that slept longer asks them again.
    function onWake() {
      if (document.visibilityState !== "visible" || !hand.walk) {
        return;
      }
      const view = viewed();
      if (!Diagnose.questions.asks(view)) {
        return;
      }
      const journal = engine().refresh(hand.tree, hand.walk.journal, now(), hand.setting);
      if (journal.length !== hand.walk.journal.length || JSON.stringify(view) !== hand.onScreen) {
        hand.walk.journal = journal;
        keepAndShow();
      }
    }

    const active = () => Boolean(hand.walk && hand.tree);
    return Object.freeze({ active, choose, take, resume, danger, putDown, onOtherWindow, onWake });
  }

  return Object.freeze({ open });
})();
