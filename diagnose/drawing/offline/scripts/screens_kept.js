"use strict";

/*
 * What is kept on this phone, to be deleted one by one: walks, rounds, danger told before either. A stop is never made
 * unseen that way: before it goes, somebody has to say that somebody qualified has cleared the vehicle, and without
 * that the stop is shown instead. Nor can it be forgotten within a day how often an appliance was started, or that a
 * task opened a walk which came to no end: a round's walks go with the round.
 *
 * `host` is {keeping, early, startedLately(walk), start(), showWalk(walk), showRound(id), showEarlyStop()}.
 */
Diagnose.keptThings = (() => {
  const { make, say, button, fill } = Diagnose.dom;
  const layout = () => Diagnose.layout;
  const CLEARED = "Danger stopped it. Has somebody qualified looked at the vehicle since, and cleared it?";
  const YES_OR_NO = [{ id: "yes", says: "Yes" }, { id: "no", says: "No" }];
  const WITH_ROUND = "It belongs to a round, and goes with it.";
  const STARTED = "It can be deleted tomorrow: how often the appliance was started counts for a day.";
  const GONE = "It is gone from this phone for good. Nothing of it is anywhere else, unless you passed it on.";
  const STATES = {
    open: "not at its end", "left-off": "left off", cured: "cured", referred: "handed over",
    stopped: "stopped for danger", ended: "at its end",
  };

  const withWalks = own => (own.length ? `, with what it opened: ${own.length}` : "");

  const when = time => new Date(time).toLocaleString("en-GB", {
    day: "numeric", month: "long", hour: "2-digit", minute: "2-digit",
  });

  // Everything that is kept, as {title, says, stop, barred, remove(), show()}: `stop` whether danger stopped it,
  // `barred` why it cannot be deleted now, `show` the stop.
  function entries({ keeping, early, startedLately, showWalk, showRound, showEarlyStop }) {
    const walks = keeping.walks();
    const rounds = Diagnose.rounds.kept();
    const has = round => rounds.some(each => each.id === round);
    const stopped = walk => walk.state === "stopped";
    const ofWalk = walk => ({
      title: Diagnose.data.trees.find(tree => tree.id === walk.tree)?.symptom ?? walk.tree,
      says: `${STATES[walk.state]}, ${when(walk.changed)}`,
      stop: stopped(walk),
      barred: walk.round && has(walk.round) ? WITH_ROUND : startedLately(walk) ? STARTED : "",
      remove: () => keeping.remove([walk.id]),
      show: () => showWalk(walk),
    });
    const ofRound = round => {
      const own = walks.filter(walk => walk.round === round.id);
      return {
        title: round.title,
        says: `round, ${STATES[round.stage]}, ${when(round.changed)}${withWalks(own)}`,
        stop: round.stopped || own.some(stopped),
        barred: own.some(startedLately) ? STARTED : "",
        remove: () => {
          keeping.remove(own.map(walk => walk.id));
          Diagnose.rounds.remove(round.id);
        },
        show: () => (round.stopped ? showRound(round.id) : showWalk(own.find(stopped))),
      };
    };
    const stops = early.stops();
    const ofStops = stops.length
      ? [{
          title: "Danger, before any walk or round was chosen", says: when(stops[0].time), stop: true, barred: "",
          remove: early.clear, show: showEarlyStop,
        }]
      : [];
    return [...ofStops, ...rounds.map(ofRound), ...walks.map(ofWalk)];
  }

  function open(host) {
    function list() {
      const there = entries(host);
      const entry = each => {
        const inner = [make("span", {}, each.title), make("span", { class: "quiet" }, each.says)];
        if (each.barred) {
          return make("li", { class: "symptom remark" }, inner, make("span", { class: "quiet" }, each.barred));
        }
        const act = () => (each.stop ? askCleared : sure)(each);
        return make("li", {}, fill(button("", act, { manner: "answer symptom" }), inner));
      };
      layout().show({
        heading: "Kept on this phone",
        back: host.start,
        body: [
          say(there.length ? "Press what is to be deleted; you are asked once more." : "Nothing is kept here."),
          there.length ? make("ul", { class: "symptoms" }, there.map(entry)) : null,
        ],
      });
    }

    function askCleared(each) {
      const view = {
        symptom: each.title, ask: CLEARED, kind: "cleared-question", choices: YES_OR_NO, cautions: [], ranking: [],
        notices: [],
      };
      const answer = given => (given === "yes" ? sure(each) : each.show());
      layout().show(Diagnose.questions.screen(view, { answer, back: list }));
    }

    function sure(each) {
      const remove = () => {
        each.remove();
        list();
        layout().tell("Deleted.");
      };
      layout().show({
        heading: "Delete this?",
        about: each.title,
        back: list,
        body: [say(`${each.title} (${each.says}).`, "strong"), say(GONE)],
        answers: [
          button("Delete it", remove, { manner: "answer" }), button("Keep it", list, { manner: "answer unsure" }),
        ],
      });
    }

    return Object.freeze({ list });
  }

  const any = host => entries(host).length > 0;

  return Object.freeze({ open, any });
})();
