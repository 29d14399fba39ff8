"use strict";

/*
 * Danger told before any walk or round was chosen. Of such a stop nobody knows which vehicle it was, so it counts for
 * every walk and round on this phone, whatever vehicle the page is for, until somebody says that it was cleared.
 *
 * What is kept is one text in the browser's local storage, as in screens_keeping.js. Where it cannot be read, it
 * counts as a stop: one question too many is better than a danger that is forgotten.
 *
 * A stop is {id, time, referral, closed}, newest first; `closed`: it was read, and is not shown again by itself.
 * What was cleared is kept no longer.
 */
Diagnose.earlyStops = (() => {
  const KEY = "diagnose.page.stops";
  const FORM = 1;
  const MOST = 20;
  const UNKNOWN = "";
  const UNREADABLE = "What was kept here of a danger could not be read. It counts as one that nobody has cleared.";

  const text = value => typeof value === "string";
  const plain = value => typeof value === "object" && value !== null && !Array.isArray(value);
  const isStop = stop =>
    plain(stop) && [stop.id, stop.time, stop.referral].every(text) && !Number.isNaN(Date.parse(stop.time))
    && typeof stop.closed === "boolean";

  // What is kept; null where it cannot be read.
  function understood(written) {
    try {
      const kept = JSON.parse(written);
      const fits = plain(kept) && kept.form === FORM && Array.isArray(kept.stops) && kept.stops.every(isStop);
      return fits ? kept.stops : null;
    } catch {
      return null;
    }
  }

  // Opens what is kept; `now` is the time in milliseconds.
  function open(now) {
    let memory = [];
    let place = null;
    try {
      place = window.localStorage;
    } catch {
      // Then it goes on from memory; that nothing is kept is said for the walks already.
    }

    const made = (referral, closed) => {
      const time = new Date(now()).toISOString();
      return { id: `${time}-${Math.random().toString(36).slice(2, 8)}`, time, referral, closed };
    };

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
      write([made(UNKNOWN, true)]);
      return memory;
    }

    function write(stops) {
      memory = stops.slice(0, MOST);
      try {
        place?.setItem(KEY, JSON.stringify({ form: FORM, stops: memory }));
      } catch {
        // Then it counts as long as the page is open, which is said for the walks.
      }
    }

    // When it was, in words; nothing where nothing stops.
    function told() {
      const [latest] = read();
      if (latest === undefined) {
        return [];
      }
      if (latest.referral === UNKNOWN) {
        return [UNREADABLE];
      }
      const at = new Date(latest.time)
        .toLocaleString("en-GB", { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });
      return [`Danger was pressed on this phone on ${at}, before any walk or round was chosen.`];
    }

    read();
    return Object.freeze({
      stops: read,
      told,
      add: referral => write([made(referral, false), ...read()]),
      closeAll: () => write(read().map(stop => ({ ...stop, closed: true }))),
      clear: () => write([]),
      // The referral by which it stops what is begun next; null where nothing stops it.
      stoppedBy: () => {
        const [latest] = read();
        return latest === undefined ? null : latest.referral || "workshop";
      },
      watch: act => window.addEventListener("storage", event => event.key === KEY && act()),
    });
  }

  return Object.freeze({ open });
})();
