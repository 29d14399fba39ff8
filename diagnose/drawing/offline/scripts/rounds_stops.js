"use strict";

/**
 * What stops a round, and the screens of a stop: danger told on any round, a walk that was stopped, and only the
 * answer that somebody qualified has cleared it ends that.
 */
Diagnose.roundsStops = (() => {
  const R = () => Diagnose.roundsReading;
  const CLEARED =
    "Danger stopped this vehicle. Has somebody qualified looked at that since, and cleared it?";
  const YES_OR_NO = [{ id: "yes", says: "Yes" }, { id: "no", says: "No" }];

  const saysCleared = line => [line.noted, line.kind].includes("cleared") && line.answer === "yes";

  // The referral of the latest danger on these rounds, unless somebody said later that it was cleared.
  function stoppedBy(rounds, walks) {
    const lines = rounds.flatMap(each => each.lines);
    const dangers = lines.filter(line => line.noted === "danger").sort((a, b) => b.time.localeCompare(a.time));
    const cleared = [...lines, ...walks.flatMap(walk => walk.journal)].filter(saysCleared);
    return dangers.length && !cleared.some(line => line.time > dangers[0].time) ? dangers[0].answer ?? "workshop" : null;
  }

  // What stops a round in hand: danger on a round, or on a walk that was not cleared there or since on this round.
  function uncleared(kept, rounds, walks, stopOfWalks) {
    const onRounds = stoppedBy(rounds, walks);
    if (onRounds !== null) {
      return onRounds;
    }
    const stops = walks.filter(walk => walk.state === "stopped").map(walk => walk.changed);
    const cleared = kept.lines.some(line => saysCleared(line) && stops.every(stop => line.time > stop));
    return cleared ? null : stopOfWalks();
  }

  // The stop by these referrals; `onlyUncleared`: nothing new was found.
  function screen(of, ids, onlyUncleared, setting, doing) {
    const { referrals: known } = Diagnose.data.common;
    const there = ids.filter(id => Object.hasOwn(known, id)).map(id => known[id]);
    const referrals = there.length ? there : [known.workshop];
    return Diagnose.result.screen({
      ...Diagnose.engine.dangerNow(setting), symptom: of.title, referrals,
      because: onlyUncleared ? Diagnose.words.uncleared : Diagnose.words.danger,
      first: Diagnose.stops.firstWords(referrals, setting.numbers, onlyUncleared),
    }, doing);
  }

  // What the danger told last on a round leads to.
  function toldLast(of, live) {
    const told = live.filter(line => line.noted === "danger").pop();
    return R().dangerReferrals(of.byId[told?.subject] ?? null);
  }

  return Object.freeze({ CLEARED, YES_OR_NO, stoppedBy, uncleared, screen, toldLast });
})();
