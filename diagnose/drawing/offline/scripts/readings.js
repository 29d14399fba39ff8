"use strict";

/**
 * What somebody types for a reading, as a value in the check's own unit; see diagnose/walking/readings.py.
 */
Diagnose.readings = (() => {
  const NUMBER = /^([+\-\u2212]?)\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*([^]*)$/;
  /** SI prefixes that meters show; micro in its three spellings. */
  const PREFIX = { "": 1, m: 1e-3, k: 1e3, M: 1e6, u: 1e-6, "\u00b5": 1e-6, "\u03bc": 1e-6, c: 1e-2, h: 1e2 };
  const PREFIXED = ["V", "A", "Ah", "W", "Wh", "\u03a9", "ohm", "Hz", "bar", "Pa", "m", "g", "l", "L"];
  const SPELT = {
    v: "V", volt: "V", volts: "V", amp: "A", amps: "A", watt: "W", watts: "W", ohm: "\u03a9", ohms: "\u03a9",
    "\u2126": "\u03a9", c: "\u00b0C", "\u00b0c": "\u00b0C", "\u2103": "\u00b0C", degc: "\u00b0C",
    degrees: "\u00b0C", deg: "\u00b0C", percent: "%", month: "months", min: "minutes", mins: "minutes",
    minute: "minutes", hour: "h", hours: "h", day: "days", L: "l", litre: "l", litres: "l", year: "years",
  };
  /** [typed, wanted] -> factor, where no prefix leads from one to the other; exact by definition. */
  const FACTORS = {
    "psi>bar": 0.0689475729, "psi>kPa": 6.89475729, "kPa>bar": 0.01, "Pa>bar": 1e-5, "hPa>mbar": 1,
    "bar>kPa": 100, "in>mm": 25.4, "inch>mm": 25.4, "lb>kg": 0.45359237, "h>minutes": 60, "minutes>h": 1 / 60,
    "days>h": 24, "years>months": 12,
  };

  const refuse = (text) => {
    throw new Diagnose.BadReading(text);
  };
  const own = (table, key) => (Object.hasOwn(table, key) ? table[key] : undefined);

  /** A number as people write it: six digits at most, no needless ones. */
  const short = (value) => String(Number(value.toPrecision(6)));

  /** Untrusted text for a message: one line, no control characters, not long. */
  function quoted(text) {
    const plain = text.replace(/\p{C}/gu, " ");
    return plain.length <= 40 ? plain : `${plain.slice(0, 39)}\u2026`;
  }

  /** A reading as one would type it, from the middle of the range. */
  const example = (reading) => `${short(Number(((reading.low + reading.high) / 2).toFixed(1)))} ${reading.unit}`;

  /**
   * The value in the check's unit; throws BadReading for what is no number, has a unit that cannot be turned
   * into the wanted one, can be read in two ways, or lies outside the range.
   * @param {Check} check
   * @param {string} text
   */
  function parseReading(check, text) {
    const { reading } = check;
    const match = NUMBER.exec(text.trim());
    if (match === null) {
      refuse(`"${quoted(text)}" is not a reading: type a number, such as ${example(reading)}.`);
    }
    const [, sign, digits, unit] = match;
    if (/^[1-9]\d{0,2},\d{3}$/.test(digits)) {
      const ways = `${digits.replace(",", "")} or ${digits.replace(",", ".")}`;
      refuse(`"${digits}" can be read in two ways: type ${ways}.`);
    }
    const value = Number(digits.replace(",", ".")) * (sign === "-" || sign === "\u2212" ? -1 : 1);
    return inRange(converted(value, unit.trim(), reading), reading);
  }

  /** The value, if it lies within the range; else throws BadReading, which says the range. */
  function inRange(value, reading) {
    if (!Number.isFinite(value) || !(reading.low <= value && value <= reading.high)) {
      const range = `${short(reading.low)} and ${short(reading.high)} ${reading.unit}`;
      refuse(`${short(value)} ${reading.unit} cannot be: a reading here lies between ${range}.`);
    }
    return value;
  }

  function converted(value, unit, reading) {
    if (unit === "") return value;
    const typed = spelt(unit);
    const wanted = spelt(reading.unit);
    if (typed === wanted) return value;
    const exact = own(FACTORS, `${typed}>${wanted}`);
    if (exact !== undefined) return value * exact;
    const from = prefix(typed);
    const to = prefix(wanted);
    if (from === null || to === null || from.unit !== to.unit) {
      refuse(`"${quoted(unit)}" is not a unit of this reading: it is taken in ${reading.unit}.`);
    }
    // Dividing by a whole power of ten keeps 12400 mV at 12.4, where multiplying by 0.001 would not.
    const ratio = PREFIX[from.prefix] / PREFIX[to.prefix];
    return ratio >= 1 ? value * Math.round(ratio) : value / Math.round(1 / ratio);
  }

  const spelt = (unit) => own(SPELT, unit) ?? own(SPELT, unit.toLowerCase()) ?? unit;

  /** The prefix and the unit under it, or null where a prefix is not known. */
  function prefix(unit) {
    for (const name of PREFIXED) {
      const before = unit.slice(0, Math.max(0, unit.length - name.length));
      if (unit.toLowerCase().endsWith(name.toLowerCase()) && Object.hasOwn(PREFIX, before)) {
        return { prefix: before, unit: own(SPELT, name) ?? name };
      }
    }
    return null;
  }

  /** Units that people of a country read, of those that a reading may be typed in by an exact factor. */
  function alsoReadIn(units, reading) {
    return units.filter((unit) => unit !== reading.unit && Object.hasOwn(FACTORS, `${unit}>${reading.unit}`));
  }

  return Object.freeze({ parseReading, inRange, alsoReadIn, example, short });
})();
