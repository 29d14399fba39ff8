"use strict";

/*
 * What the phone keeps: the walks, so that a closed page loses nothing, and the owner's own settings.
 *
 * It is one text in the browser's local storage, written anew after each answer and read anew before each
 * writing, since another window may have written meanwhile. Without that storage all of it works from memory,
 * which is said. What cannot be read is put aside under another name, which is said too.
 *
 * A walk here is {id, tree, digest, vehicle, role, opened, changed, state, journal, revision}, newest first.
 */
Diagnose.keeping = (() => {
  const KEY = "diagnose.page";
  const ASIDE = "diagnose.page.aside";
  const FORM = 1;
  const MOST = 60; // of one vehicle
  const STATES = ["open", "left-off", "cured", "referred", "stopped"];
  const LOST = "This browser keeps nothing for this page: once the page is closed, what was answered is lost.";
  const PUT_ASIDE = "What was kept here could not be read. It was put aside, and nothing of it is used.";

  const text = value => typeof value === "string";
  const plain = value => typeof value === "object" && value !== null && !Array.isArray(value);

  const isLine = line =>
    plain(line) && text(line.kind) && text(line.subject) && text(line.time) && !Number.isNaN(Date.parse(line.time))
    && (line.answer === null || text(line.answer))
    && (line.value === null || Number.isFinite(line.value))
    && (line.uncertainty === null || Number.isFinite(line.uncertainty))
    && typeof line.ahead === "boolean";

  const isWalk = walk =>
    plain(walk) && [walk.id, walk.tree, walk.digest, walk.vehicle, walk.opened, walk.changed].every(text)
    && STATES.includes(walk.state) && Number.isInteger(walk.revision)
    && Array.isArray(walk.journal) && walk.journal.length < 5000 && walk.journal.every(isLine);

  const isSettings = settings =>
    plain(settings) && (settings.country === null || text(settings.country)) && plain(settings.numbers)
    && Object.values(settings.numbers).every(number => text(number) && /^\+?[0-9]{2,20}$/.test(number));

  const copy = value => JSON.parse(JSON.stringify(value));

  const empty = () => ({ form: FORM, walks: [], settings: { country: null, numbers: {} } });

  // The storage, or null where the browser has none, forbids it or has no room.
  function storage() {
    try {
      const found = window.localStorage;
      found.setItem(`${KEY}.try`, "1");
      found.removeItem(`${KEY}.try`);
      return found;
    } catch {
      return null;
    }
  }

  // What is kept; null where it cannot be read.
  function understood(written) {
    let kept;
    try {
      kept = JSON.parse(written);
    } catch {
      return null;
    }
    const fits = plain(kept) && kept.form === FORM && Array.isArray(kept.walks) && kept.walks.every(isWalk)
      && isSettings(kept.settings);
    return fits ? kept : null;
  }

  // Opens what is kept for a vehicle ("" for any): `trouble` are sentences to be said at the start.
  function open(vehicle = "") {
    const place = storage();
    const trouble = place ? [] : [LOST];
    let memory = empty();

    function read() {
      let written;
      try {
        written = place ? place.getItem(KEY) : null;
      } catch {
        written = null;
      }
      if (written === null) {
        return memory;
      }
      const kept = understood(written);
      if (kept) {
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

    function write(kept) {
      memory = kept;
      try {
        place?.setItem(KEY, JSON.stringify(kept));
      } catch {
        if (!trouble.includes(LOST)) {
          trouble.push(LOST);
        }
      }
    }

    // Keeps a walk; false, and nothing is kept, where another window has gone on with it. A stop is kept
    // whatever else happened.
    function put(walk) {
      const kept = read();
      const other = kept.walks.find(each => each.id === walk.id);
      if (other && other.revision !== walk.revision && walk.state !== "stopped") {
        return false;
      }
      walk.revision = Math.max(walk.revision, other ? other.revision : 0) + 1;
      // What was gone on with last stands first, whichever vehicle it is of.
      let room = MOST - 1;
      const others = kept.walks.filter(each => each.id !== walk.id && (each.vehicle !== walk.vehicle || room-- > 0));
      write({ ...kept, walks: [copy(walk), ...others] });
      return true;
    }

    // A walk that cannot be gone on with is taken out and put aside.
    function putAside(id) {
      const kept = read();
      try {
        place?.setItem(ASIDE, JSON.stringify(kept.walks.filter(each => each.id === id)));
      } catch {
        // There is no room even for that.
      }
      write({ ...kept, walks: kept.walks.filter(each => each.id !== id) });
      trouble.push(PUT_ASIDE);
    }

    const remove = ids => {
      const kept = read();
      write({ ...kept, walks: kept.walks.filter(each => !ids.includes(each.id)) });
    };

    // Walks without a name count for every vehicle: a stop among them still has to be cleared.
    const walks = () => copy(read().walks.filter(walk => [vehicle, ""].includes(walk.vehicle)));

    // Puts aside each walk in which `reading` finds no sense.
    function sift(reading) {
      for (const walk of walks()) {
        try {
          reading(walk);
        } catch (error) {
          console.warn(error);
          putAside(walk.id);
        }
      }
    }

    read();
    return Object.freeze({
      vehicle,
      trouble,
      put,
      putAside,
      remove,
      sift,
      walks,
      settings: () => copy(read().settings),
      keepSettings: settings => write({ ...read(), settings }),
      // `act` runs when another window has written.
      watch: act => window.addEventListener("storage", event => event.key === KEY && act()),
    });
  }

  return Object.freeze({ open });
})();
