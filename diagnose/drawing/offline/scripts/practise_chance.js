"use strict";

/**
 * Chance that falls as it does in the program, number by number; see diagnose/practising/chance.py:
 * SplitMix64 (Steele, Lea & Flood 2014), and a stream of its own for everything that is drawn, by its
 * label's FNV-1a hash.
 *
 *     Diagnose.chance(seed, label)   number() part() below(many) among(weights) shuffled(many)
 */
Diagnose.chance = (() => {
  const WORD = (1n << 64n) - 1n;
  const GOLDEN = 0x9e3779b97f4a7c15n;
  const [OFFSET, PRIME] = [0xcbf29ce484222325n, 0x100000001b3n];

  function fnv1a(text) {
    let hashed = OFFSET;
    for (const byte of new TextEncoder().encode(text)) hashed = ((hashed ^ BigInt(byte)) * PRIME) & WORD;
    return hashed;
  }

  return (seed, label = "") => {
    let state = BigInt(seed) & WORD;

    function number() {
      state = (state + GOLDEN) & WORD;
      let z = ((state ^ (state >> 30n)) * 0xbf58476d1ce4e5b9n) & WORD;
      z = ((z ^ (z >> 27n)) * 0x94d049bb133111ebn) & WORD;
      return z ^ (z >> 31n);
    }

    // The upper 53 bits over 2^53: evenly from 0 on, less than 1.
    const part = () => Number(number() >> 11n) / 2 ** 53;
    const below = many => Math.trunc(part() * many);

    function among(weights) {
      let aim = part() * weights.reduce((sum, weight) => sum + weight, 0);
      for (const [place, weight] of weights.entries()) {
        aim -= weight;
        if (aim < 0) return place;
      }
      return weights.reduce((last, weight, place) => (weight > 0 ? place : last), -1);
    }

    function shuffled(many) {
      const order = Array.from({ length: many }, (_, at) => at);
      for (let last = many - 1; last > 0; last -= 1) {
        const other = below(last + 1);
        [order[last], order[other]] = [order[other], order[last]];
      }
      return order;
    }

    if (label) state = number() ^ fnv1a(label);
    return Object.freeze({ number, part, below, among, shuffled });
  };
})();
