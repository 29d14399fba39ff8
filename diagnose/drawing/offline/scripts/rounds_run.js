"use strict";

/**
 * A round in hand: taken up, kept with each mark before the next screen shows, stopped for danger, put down. What the
 * rest of the page is to it comes in by `open`.
 *
 *     Diagnose.rounds.open(host)         host: {data(), walks(), vehicle, trouble, start(), walk(tree, carried, origin),
 *                                        setting(), stopOfWalks(), now(), early(), earlyTold(), cleared()}; `early`:
 *                                        what stops it that was told before any walk, `cleared` ends that
 *     Diagnose.rounds.entries() waiting() begin(id) resume(id) active() leave() danger() takeStop() stoppedBy(walks)
 *     Diagnose.rounds.kept() remove(id) showStop(id)   what is kept of rounds, one of them away, its stop read again
 *     Diagnose.rounds.onStop()           another window has met danger before any walk
 */
Diagnose.rounds = (() => {
  const layout = () => Diagnose.layout;
  const R = () => Diagnose.roundsReading;
  const stops = () => Diagnose.roundsStops;
  const ELSEWHERE = "This round has gone on in another window. Here nothing more of it is kept.";
  const CHANGED = "This round has changed since it was left off; what still has a place in it was kept.";

  let host = null;
  let keeping = null;
  let tasks = null;
  /** The round in hand: `kept` as rounds_keeping.js keeps it, `of` the page's round, `since` how many lines an earlier
   * sitting had, `shown` the task on the screen, and what was read and where somebody has been in this sitting. */
  const hand = { kept: null, of: null, since: 0, shown: "", cautioned: new Set(), been: new Set(), notices: [] };

  const holds = () => Boolean(Diagnose.data.rounds);
  const time = () => new Date(host.now()).toISOString();
  const keptRounds = () => (keeping ? keeping.rounds() : []);

  function open(given) {
    host = given;
    keeping = holds() ? Diagnose.roundsKeeping.open(host.vehicle, host.trouble) : null;
    keeping?.watch(onOtherWindow);
    const run = { host, note, standing, ifStopped, leaveOff, inTime, code, before };
    tasks = Diagnose.roundsTasks.open(hand, run);
  }

  const standing = () => Diagnose.roundsStanding.standing(hand, host, uncleared() !== null);
  const active = () => hand.kept !== null;
  const leave = () => {
    Object.assign(hand, { kept: null, of: null, shown: "" });
  };

  // What the first screen offers: each round, and those that were begun and not ended.
  const entries = () => Object.entries(holds() ? Diagnose.data.rounds.rounds : {})
    .map(([id, { title, says }]) => ({ id, title, says }));

  const waiting = () => keptRounds()
    .filter(each => each.stage !== "ended" && R().round(each.round) !== null)
    .map(each => ({ id: each.id, title: R().round(each.round).title, changed: each.changed }));

  // All that are kept; `stopped`: danger was told on it, or it was not cleared.
  const kept = () => keptRounds().map(each => ({
    id: each.id, title: R().round(each.round)?.title ?? each.round, stage: each.stage, changed: each.changed,
    stopped: each.stage === "stopped" || each.lines.some(line => line.noted === "danger"),
  }));

  // Taking a round in hand -----------------------------------------------------------------------------------

  function begin(id) {
    const opened = time();
    take({
      id: `${opened}-${Math.random().toString(36).slice(2, 8)}`, round: id, digest: R().round(id).digest,
      vehicle: host.vehicle, opened, changed: opened, stage: "open", lines: [], revision: 0,
    });
    overviewOrStop();
  }

  function resume(id) {
    const found = keptRounds().find(each => each.id === id);
    if (!found || R().round(found.round) === null) {
      host.start();
      return;
    }
    take(found);
    if (found.digest !== hand.of.digest) {
      const { dropped } = Diagnose.roundsStanding.read(hand);
      hand.notices = [
        CHANGED, ...(dropped.length ? [`No longer in the round, so dropped: ${dropped.join(", ")}.`] : []),
      ];
      found.digest = hand.of.digest;
    }
    if (found.stage === "left-off" || found.stage === "ended") {
      found.stage = "open";
    }
    overviewOrStop();
  }

  function take(kept) {
    Object.assign(hand, {
      kept, of: R().round(kept.round, kept.short ?? null), since: kept.lines.length, shown: "", cautioned: new Set(), been: new Set(),
      notices: [],
    });
  }

  function overviewOrStop() {
    if (!ifStopped()) {
      tasks.overview();
    }
  }

  // Put aside, or ended where nothing is left; a round on which nothing was answered yet is not kept.
  function leaveOff() {
    const { kept } = hand;
    if (kept.lines.length) {
      kept.stage = standing().left.length ? "left-off" : "ended";
      if (keep()) {
        code(() => resume(kept.id));
      }
      return;
    }
    host.start();
  }

  // From here on only so many minutes of it, or null for all of it.
  function inTime(minutes) {
    hand.kept.short = minutes;
    hand.of = R().round(hand.kept.round, minutes);
    if (!hand.kept.lines.length || keep()) {
      overviewOrStop();
    }
  }

  // The code by which the program takes the round in. What stops the vehicle stops it there too, whichever round or
  // walk it was told on.
  function code(back) {
    const { kept, of } = hand;
    const referral = uncleared();
    const stop = referral === null ? null : { referral, time: kept.lines.at(-1)?.time ?? kept.opened };
    const text = Diagnose.roundsCode.of(of, kept, Diagnose.roundsStanding.read(hand), stop);
    const doing = { back, start: host.start, stopped: Boolean(stop) };
    layout().show(Diagnose.roundsCodeScreen.screen(of, kept, text, doing));
  }

  // Shows the code of the latest such round that is at its end; null where none is kept. It is taken up no more.
  function before() {
    const last = keptRounds().find(each => each.round === hand.of.id && each.stage === "ended");
    return last && last.id !== hand.kept.id ? () => {
      take(last);
      code(host.start);
    } : null;
  }

  // Keeping --------------------------------------------------------------------------------------------------

  // Adds a line; false where another window has gone on with the round, which is then said.
  function note(noted, subject, answer = null, more = {}) {
    hand.kept.lines = [...hand.kept.lines, { time: time(), noted, subject, answer, ...more }];
    return keep();
  }

  function keep() {
    hand.kept.changed = time();
    if (keeping.put(hand.kept)) {
      return true;
    }
    elsewhere();
    return false;
  }

  function elsewhere() {
    const { id } = hand.kept;
    const newest = keptRounds().find(each => each.id === id);
    const { button } = Diagnose.dom;
    layout().show({
      heading: ELSEWHERE, about: hand.of.title, back: host.start,
      answers: [
        newest ? button("Go on here", () => resume(id), { manner: "answer" }) : null,
        button("To the start", host.start, { manner: "answer unsure" }),
      ],
    });
  }

  function onOtherWindow() {
    const { kept } = hand;
    const newest = kept && keptRounds().find(each => each.id === kept.id);
    if (newest && newest.revision !== kept.revision) {
      elsewhere();
    } else {
      onStop();
    }
  }

  // Another window has met danger: then it is asked here, too, before the round goes on.
  function onStop() {
    if (active() && hand.kept.stage !== "stopped") {
      ifStopped();
    }
  }

  // Danger ---------------------------------------------------------------------------------------------------

  const stoppedBy = walks => stops().stoppedBy(keptRounds(), walks);
  const uncleared = () =>
    stops().uncleared(hand.kept, keptRounds(), host.walks(), host.stopOfWalks) ?? host.early();

  // Whether the vehicle was stopped and not cleared: then that is asked.
  function ifStopped() {
    const referral = uncleared();
    if (referral !== null) {
      hand.shown = "";
      askCleared(referral);
    }
    return referral !== null;
  }

  function danger() {
    const task = hand.of.byId[hand.shown] ?? null;
    const ids = R().dangerReferrals(task);
    hand.kept.stage = "stopped";
    hand.kept.closed = false;
    note("danger", task?.id ?? "", ids[0]);
    stop(ids, false);
  }

  const stop = (ids, onlyUncleared) =>
    layout().show(stops().screen(hand.of, ids, onlyUncleared, host.setting(), {
      start: () => closeStop(onlyUncleared),
    }));

  // A stop that was read is not shown again by itself.
  function closeStop(onlyUncleared) {
    if (hand.kept.stage === "stopped") {
      hand.kept.closed = true;
      keeping.put(hand.kept);
      if (!onlyUncleared) {
        code(host.start);
        return;
      }
    }
    host.start();
  }

  // Whether the page was closed on a stop: then that is what it opens with.
  function takeStop(sinceWhen = "") {
    const [last] = keptRounds();
    if (!last || last.stage !== "stopped" || last.closed || last.changed < sinceWhen || R().round(last.round) === null) {
      return false;
    }
    take(last);
    stop(stops().toldLast(hand.of, Diagnose.roundsStanding.read(hand).live), false);
    return true;
  }

  function showStop(id) {
    const found = keptRounds().find(each => each.id === id);
    if (R().round(found.round) === null) {
      return false;
    }
    take(found);
    stop(stops().toldLast(hand.of, Diagnose.roundsStanding.read(hand).live), false);
    return true;
  }

  function askCleared(referral) {
    const answer = given => {
      if (given !== "yes") {
        if (note("cleared", "", "no")) {
          stop([referral], true);
        }
        return;
      }
      hand.kept.stage = "open";
      if (note("cleared", "", "yes")) {
        host.cleared();
        overviewOrStop();
      }
    };
    const asked = Diagnose.roundsTasks.asked(hand, stops().CLEARED);
    layout().show(Diagnose.questions.screen(
      { ...asked, notices: host.earlyTold(), kind: "cleared-question", choices: stops().YES_OR_NO }, { answer, back: host.start },
    ));
  }

  return Object.freeze({
    open, entries, waiting, begin, resume, active, leave, danger, takeStop, stoppedBy, onStop, kept,
    showStop, remove: id => keeping?.remove(id),
  });
})();
