"use strict";

/**
 * The rounds that the phone keeps, beside the walks and in the same manner (screens_keeping.js): one text in the
 * browser's local storage, read anew before each writing; from memory where there is none; what cannot be read
 * is put aside.
 *
 * A kept round is {id, round, digest, vehicle, opened, changed, stage, lines, revision, short}, newest first; `stage`
 * is open, left-off, ended or stopped, `lines` are those of rounds_reading.js, `short` how many minutes there are, or
 * nothing for all of it.
 */
Diagnose.roundsKeeping = (() => {
  const KEY = "diagnose.page.rounds";
  const ASIDE = "diagnose.page.rounds.aside";
  const FORM = 1;
  const MOST = 40; // of one vehicle
  const LONGEST = 2000; // lines
  const STAGES = ["open", "left-off", "ended", "stopped"];
  const NOTED = ["mark", "fact", "back", "danger", "cleared"];
  const PUT_ASIDE = "A round that was kept here could not be read. It was put aside, and nothing of it is used.";
  const LOST = "This browser has no room for rounds: once the page is closed, what was marked is lost.";

  const text = value => typeof value === "string";
  const plain = value => typeof value === "object" && value !== null && !Array.isArray(value);
  const copy = value => JSON.parse(JSON.stringify(value));

  const isLine = line =>
    plain(line) && NOTED.includes(line.noted) && text(line.subject) && (line.answer === null || text(line.answer))
    && text(line.time) && !Number.isNaN(Date.parse(line.time));

  const isKept = kept =>
    plain(kept) && [kept.id, kept.round, kept.digest, kept.vehicle, kept.opened, kept.changed].every(text)
    && STAGES.includes(kept.stage) && Number.isInteger(kept.revision)
    && (Number.isFinite(kept.short) || [null, undefined].includes(kept.short))
    && Array.isArray(kept.lines) && kept.lines.length <= LONGEST && kept.lines.every(isLine);

  function understood(written) {
    try {
      const kept = JSON.parse(written);
      const fits = plain(kept) && kept.form === FORM && Array.isArray(kept.rounds) && kept.rounds.every(isKept);
      return fits ? kept.rounds : null;
    } catch {
      return null;
    }
  }

  // Opens what is kept for a vehicle ("" for any); `trouble` takes sentences that are said at the start.
  function open(vehicle, trouble) {
    let memory = [];
    let place = null;
    try {
      place = window.localStorage;
    } catch {
      // Then it goes on from memory; that nothing is kept is said for the walks already.
    }

    function read() {
      let written = null;
      try {
        written = place?.getItem(KEY) ?? null;
      } catch {
        // As without any storage.
      }
      if (written === null) {
        return memory;
      }
      const kept = understood(written);
      if (kept !== null) {
        return kept;
      }
      try {
        place.setItem(ASIDE, written);
        place.removeItem(KEY);
      } catch {
        // Then it stays where it is, and is written over.
      }
      trouble.push(PUT_ASIDE);
      return memory;
    }

    function write(rounds) {
      memory = rounds;
      try {
        place?.setItem(KEY, JSON.stringify({ form: FORM, rounds }));
      } catch {
        if (!trouble.length) {
          trouble.push(LOST);
        }
      }
    }

    const isOurs = kept => [vehicle, ""].includes(kept.vehicle);

    // Keeps a round; false, and nothing is kept, where another window has gone on with it. A stop is kept
    // whatever else happened, behind what the other window has added.
    function put(round) {
      const kept = read();
      const other = kept.find(each => each.id === round.id);
      if (other && other.revision !== round.revision) {
        if (round.stage !== "stopped") {
          return false;
        }
        round.lines = [...other.lines, ...round.lines.slice(-1)];
      }
      round.revision = Math.max(round.revision, other ? other.revision : 0) + 1;
      let room = MOST - 1;
      const others = kept.filter(each => each.id !== round.id && (each.vehicle !== round.vehicle || room-- > 0));
      write([copy(round), ...others]);
      return true;
    }

    read();
    return Object.freeze({
      put,
      remove: id => write(read().filter(each => each.id !== id)),
      rounds: () => copy(read().filter(isOurs)),
      watch: act => window.addEventListener("storage", event => event.key === KEY && act()),
    });
  }

  return Object.freeze({ open });
})();
