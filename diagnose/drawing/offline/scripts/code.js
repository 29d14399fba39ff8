"use strict";

/**
 * The code of a case that has ended, and the name of the store that this phone is.
 *
 * A code is a whole number in base 13 with three check letters; docs/codes.md has the format with an example.
 * All its figures come with the page (`format` is `Diagnose.data.code`, `tree.code` the places of one tree),
 * made by code_data.py from the lines that read a code again: nothing of them is written here a second time.
 *
 *     Diagnose.code.of(tree, walk)                the code in groups of four; "" for a walk that goes on
 *     Diagnose.code.spelled(code)                 each group as it is read out
 *     Diagnose.code.own()                         the store that this phone is
 *     Diagnose.code.written(format, tree, case)   the same with all that it hangs on given
 *     Diagnose.code.ofNumbers(pairs), numbersIn(text, refuse)   codes of other things
 *     Diagnose.code.ofChoices(choices), even(number, many), weighed(place, weights)   the same, unlike likely
 *     Diagnose.code.store(storage)                {name, caseOf(id)}: whose cases these are, and the number
 *                                                 of a walk by its id, from 1, given when it is first asked
 *                                                 for; `storage` is window.localStorage, null without one
 *
 * A walk is {id, role, opened, state, journal} as screens keep it, `opened` the time at which it began
 * (ISO 8601); a case is a walk with `case`, its number, and `origin`, the name of the store that it is
 * numbered in.
 */
Diagnose.code = (() => {
  // Choices are laid on a number so that what is likely makes it hardly longer: asymmetric numeral systems
  // (Duda 2009, arXiv:0902.0271). Numbers are as long as they need be, so nothing is rounded.
  const even = (number, many) => {
    if (!(Number.isInteger(number) && number >= 0 && number < many)) {
      throw new RangeError(`${number} is not from 0 to ${many - 1}`);
    }
    return [1n, BigInt(number), BigInt(many)];
  };

  const total = weights => weights.reduce((sum, weight) => sum + weight, 0);

  const weighed = (place, weights) =>
    [weights[place], total(weights.slice(0, place)), total(weights)].map(BigInt);

  const packed = choices =>
    choices.reduceRight((x, [weight, before, all]) => (x / weight) * all + before + (x % weight), 0n);

  // The case's number, in the smallest of the sizes that hold it.
  function caseNumber(format, number) {
    let below = 1;
    for (const [place, many] of format.cases.entries()) {
      if (number < below + many) {
        return [weighed(place, format.casesWeights), even(number - below, many)];
      }
      below += many;
    }
    throw new RangeError(`no store has a case ${number}`);
  }

  const months = opened => {
    const moment = new Date(opened);
    return moment.getUTCFullYear() * 12 + moment.getUTCMonth();
  };

  const placed = (answer, [, answers, weights]) => weighed(answers.indexOf(answer) + 1, weights);

  // The three sums of a code, its digits from right to left; all are nought in one that is right.
  function sums(digits, base) {
    const found = [0, 0, 0];
    digits.forEach((digit, at) => {
      const a = at % base;
      const b = Math.floor(at / base);
      [1, a, a * a + b].forEach((factor, sum) => {
        found[sum] = (found[sum] + factor * digit) % base;
      });
    });
    return found;
  }

  // The digits for the first three places, whose columns are (1, 0, 0), (1, 1, 1) and (1, 2, 4).
  function checkDigits(digits, base) {
    const rest = value => ((value % base) + base) % base;
    const [s, t, u] = sums([0, 0, 0, ...digits], base);
    const half = (base + 1) / 2;
    const two = rest((t - u) * half);
    const one = rest(-t - 2 * two);
    return [rest(-s - one - two), one, two];
  }

  const groups = (text, size) => text.match(new RegExp(`.{1,${size}}`, "g")).join("-");

  function signs(format, number) {
    const base = format.alphabet.length;
    const digits = [];
    for (let left = number; left > 0n; left /= BigInt(base)) digits.push(Number(left % BigInt(base)));
    while ((digits.length + format.checks) % format.group) digits.push(0);
    if (digits.length + format.checks > format.most) return "";
    const code = [...checkDigits(digits, base), ...digits].reverse();
    return groups(code.map(digit => format.alphabet[digit]).join(""), format.group);
  }

  function written(format, tree, walk) {
    if (!format.ends.includes(walk.state)) return "";
    const places = tree.code;
    const past = Diagnose.past.read(tree, walk.journal);
    const [found, tried] = [Diagnose.past.findings(past), Diagnose.past.tried(past)];
    return signs(
      format,
      packed([
        even(...format.version),
        even(format.ends.indexOf(walk.state), format.ends.length),
        even(format.roles.indexOf(walk.role), format.roles.length),
        even(months(walk.opened) % format.months, format.months),
        even(parseInt(walk.origin.slice(0, 4), 16), format.origins),
        even(places.symptom, format.symptoms),
        even(places.shape, format.shapes),
        ...caseNumber(format, walk.case),
        ...places.found.map(place => placed(found[place[0]]?.answer, place)),
        ...places.tried.map(place => placed(tried[place[0]], place)),
      ]),
    );
  }

  // A code of evenly likely numbers, [number, of how many] each, in the order in which they are to be read.
  const ofNumbers = pairs => ofChoices(pairs.map(([number, many]) => even(number, many)));

  // The same of choices as `even` and `weighed` make them; "" where they are more than a code holds.
  const ofChoices = choices => signs(Diagnose.data.code, packed(choices));

  /**
   * The numbers in a code, one after the other: `next(many)` gives the next one that is below `many`.
   * @param {string} text in whatever way it is typed; spelled words apart
   * @param {function(string)} refuse is told what is wrong, and throws
   */
  function numbersIn(text, refuse) {
    const { alphabet, group, checks, most, meant } = Diagnose.data.code;
    const typed = [
      ...text
        .normalize("NFKC")
        .toUpperCase()
        .replace(/[\s\-\u2010-\u2015\u2212.,:;/_'"]+/g, ""),
    ];
    const digits = typed.map(sign => alphabet.indexOf(meant[sign] ?? sign)).reverse();
    if (!digits.length) refuse("There is no code here.");
    if (digits.includes(-1)) refuse(`"${typed[digits.length - 1 - digits.lastIndexOf(-1)]}" is in no code.`);
    if (digits.length % group || digits.length > most)
      refuse(`A code has whole groups of ${group}; look at it again.`);
    const needless = digits.length > group + checks && !digits.slice(-group).some(Boolean);
    if (needless || sums(digits, alphabet.length).some(Boolean)) {
      refuse("This code is not right: look at it again, or have it read out.");
    }
    const base = BigInt(alphabet.length);
    let left = digits.slice(checks).reduceRight((number, digit) => number * base + BigInt(digit), 0n);
    return many => {
      const number = Number(left % BigInt(many));
      left /= BigInt(many);
      return number;
    };
  }

  const of = (tree, walk) =>
    written(Diagnose.data.code, tree, { ...walk, case: own().caseOf(walk.id), origin: own().name });

  const spelled = code =>
    code.split("-").map(group => [...group].map(sign => Diagnose.data.code.spelled[sign]).join(" "));

  // The store's name is made once, at random: it tells nothing of the phone or of anybody.
  const KEY = "diagnose.store";
  const REMEMBERED = 500;

  const freshName = () =>
    [...crypto.getRandomValues(new Uint8Array(8))].map(byte => byte.toString(16).padStart(2, "0")).join("");

  function kept(storage) {
    try {
      const own = JSON.parse(storage.getItem(KEY));
      const right = /^[0-9a-f]{16}$/.test(own.name) && Number.isSafeInteger(own.cases) && own.cases >= 0;
      const numbers = Array.isArray(own.numbers) && own.numbers.every(each => Number.isSafeInteger(each[1]));
      if (right && numbers) return own;
    } catch {
      // Nothing is kept yet, it was damaged, or this browser keeps nothing: a new name is a new store.
    }
    return null;
  }

  function keep(storage, own) {
    try {
      storage.setItem(KEY, JSON.stringify(own));
    } catch {
      // Storage that is full or refused: name and numbers hold until the page is closed.
    }
  }

  // `numbers` are pairs of a walk's id and its case number, the oldest first.
  function store(storage) {
    let own = kept(storage) ?? { name: freshName(), cases: 0, numbers: [] };
    keep(storage, own);
    return {
      name: own.name,
      caseOf(id) {
        // Read anew: another window with this page may have numbered a case meanwhile.
        const latest = kept(storage);
        if (latest !== null && latest.name === own.name) own = latest;
        const known = own.numbers.find(([walk]) => walk === id);
        if (known) return known[1];
        own.cases += 1;
        own.numbers = [...own.numbers, [id, own.cases]].slice(-REMEMBERED);
        keep(storage, own);
        return own.cases;
      },
    };
  }

  // Made when it is first asked for; without storage it holds until the page is closed.
  let phone = null;

  function own() {
    if (phone === null) {
      let storage = null;
      try {
        storage = window.localStorage;
      } catch {
        // This browser forbids it.
      }
      phone = store(storage);
    }
    return phone;
  }

  return Object.freeze({ of, spelled, own, written, store, ofNumbers, numbersIn, ofChoices, even, weighed });
})();
