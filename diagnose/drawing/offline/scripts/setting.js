"use strict";

/**
 * What earlier walks, the place and the vehicle's card mean for a walk; see diagnose/walking/earlier.py. Every
 * walk on this phone is taken to be of one vehicle: that asks one question too many rather than one too few.
 */
Diagnose.setting = (() => {
  /** The day of a time by this phone's clock, ISO 8601. */
  function dayOf(now) {
    const at = new Date(now);
    const two = (number) => String(number).padStart(2, "0");
    return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  }

  /**
   * What earlier walks and the place mean for a walk.
   * @param {Data} data
   * @param {?Tree} tree null before a symptom is chosen
   * @param {{id: string, tree: string, journal: Line[], state: string}[]} walks all that are kept, newest first
   * @param {number} now
   * @param {?{id: string}} current the walk itself, where it is kept already: its starts are not counted twice
   * @returns {Setting}
   */
  function setting(data, tree, walks, now, current = null) {
    const { vehicle } = data;
    const place = data.common.countries[data.country];
    const others = walks.filter((walk) => walk.id !== current?.id);
    const ended = vehicle !== null && vehicle.alarm !== null && vehicle.alarm.from <= dayOf(now);
    return {
      numbers: place !== undefined && place.numbers.length ? place.numbers : ["112"],
      register: place === undefined ? "" : place.gasRegister,
      units: place === undefined ? [] : place.units,
      ownNumbers: vehicle === null ? {} : vehicle.numbers,
      whereabouts: vehicle === null ? {} : vehicle.where,
      cannot: vehicle === null ? [] : vehicle.cannot,
      alarmEnded: ended ? vehicle.alarm.says : "",
      due: vehicle === null ? [] : vehicle.due.filter((each) => each.from <= dayOf(now)).map((each) => each.says),
      role: data.role,
      stoppedBy: stoppedBy(walks),
      startedBefore: tree === null ? 0 : startedBefore(tree, others, now),
    };
  }

  /**
   * The referral by which a walk was stopped that nobody has cleared since; see walking/earlier.py. Walks stand
   * in the order in which they were gone on with, and another window may go on with one that it began before
   * the stop: so a stop is cleared by nothing but the answer that somebody qualified has cleared it.
   */
  function stoppedBy(walks) {
    const clearing = new Set();
    for (const walk of walks) {
      const tree = Diagnose.tree(walk.tree);
      const stops = tree === null ? [] : Diagnose.stops.stopReferrals(Diagnose.past.read(tree, walk.journal));
      if (stops.length || walk.state === "stopped") {
        // Of a walk without a vehicle's name nobody knows whether it was this vehicle that was cleared.
        const cleared = clearing.has(walk.vehicle) || (!walk.vehicle && clearing.size > 0);
        if (!cleared) return stops[0] ?? "workshop";
      } else if (walk.journal.some((line) => line.kind === "cleared" && line.answer === "yes")) {
        clearing.add(walk.vehicle);
      }
    }
    return null;
  }

  /** How often the appliance was started within the last day in other walks of this symptom. */
  function startedBefore(tree, walks, now) {
    const lines = walks.filter((walk) => walk.tree === tree.id).flatMap((walk) => walk.journal);
    const lately = (line) => now - Date.parse(line.time) <= Diagnose.past.TRIES_ARE_KEPT;
    return lines.filter((line) => lately(line) && Diagnose.past.isStart(tree, line)).length;
  }

  return Object.freeze(Object.assign(setting, { dayOf }));
})();
