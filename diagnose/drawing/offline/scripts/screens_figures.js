"use strict";

/*
 * Figures as people say them, and texts of a tree fitted into a sentence: word for word what the prompt says
 * (diagnose/terminal/figures.py and sentences.py), which a test compares over the whole range.
 */
Diagnose.figures = (() => {
  const NO_CASES = "our judgement, no cases yet";
  const NEEDS = Object.freeze({
    kneel: "kneel",
    climb: "climb",
    lift: "lift something heavy",
    reach: "reach far",
    hear: "hear well",
    smell: "smell well",
  });

  // Halves go to the even neighbour, as in the rest of the program.
  function round(value) {
    const below = Math.floor(value);
    if (value - below === 0.5) {
      return below % 2 === 0 ? below : below + 1;
    }
    return Math.round(value);
  }

  // A number as it is printed: six figures at most, no noughts at the end.
  const number = value => String(Number(value.toPrecision(6)));

  function share(part) {
    if (part >= 0.95) {
      return "more than 9 in 10";
    }
    if (part >= 0.075) {
      return `about ${Math.max(1, round(part * 10))} in 10`;
    }
    return part >= 0.01 ? `about ${round(part * 100)} in 100` : "less than 1 in 100";
  }

  function interval(low, high) {
    const [lowest, highest] = [round(low * 100), round(high * 100)];
    return lowest === highest ? `${lowest} in 100` : `between ${lowest} and ${highest} in 100`;
  }

  function basis(ranked, ranking) {
    const total = ranking.reduce((sum, each) => sum + each.cases, 0);
    if (total <= 0) {
      return NO_CASES;
    }
    const exact = ranking.every(each => Number.isInteger(each.cases));
    const noun = round(total) === 1 ? "case" : "cases";
    return `${exact ? "" : "about "}${round(ranked.cases)} of ${round(total)} ${noun}`;
  }

  function duration(minutes) {
    if (minutes < 1) {
      return "less than a minute";
    }
    if (minutes < 90) {
      const whole = round(minutes);
      return whole === 1 ? "1 minute" : `${whole} minutes`;
    }
    if (minutes >= 480 && minutes <= 900) {
      return "a night";
    }
    if (minutes > 900 && minutes <= 1800) {
      return "a day";
    }
    if (minutes > 1800) {
      return `${round(minutes / 1440)} days`;
    }
    const halves = round(minutes / 30);
    if (halves === 3) {
      return "an hour and a half";
    }
    const hours = Math.floor(halves / 2);
    return halves % 2 ? `${hours} and a half hours` : `${hours} hours`;
  }

  function money(price) {
    const whole = round(price);
    if (whole === 1) {
      return "1 pound or euro";
    }
    return `${whole || number(round(price * 100) / 100)} pounds or euros`;
  }

  // Work, waiting and money, a sentence each where there is any; never added up.
  function effort(step) {
    const sentences = [];
    if (step.minutes > 0) {
      sentences.push(sentence(`${step.minutes >= 1 ? "About " : ""}${duration(step.minutes)}`));
    }
    if (step.wait > 0) {
      sentences.push(`Then it takes ${duration(step.wait)}, but not you: nobody need be there.`);
    }
    if (step.price > 0) {
      sentences.push(`Costs about ${money(step.price)}.`);
    }
    return sentences;
  }

  // What a step asks of somebody, where it is, and what one has to be able to do.
  function takes(step, wheres, needs, been) {
    const sentences = effort(step);
    const places = [...new Set(wheres.map(where => where.place).filter(Boolean))];
    if (places.length && places.every(place => been.has(place))) {
      sentences.push(`While you are there, ${places.join(", then ")}.`);
    } else if (places.length) {
      sentences.push(sentence(places.join(", then ")));
    }
    for (const where of wheres.filter(each => each.whereabouts)) {
      sentences.push(sentence(`${where.part.replaceAll("-", " ")}: ${where.whereabouts}`));
    }
    if (needs.length) {
      const wants = needs.map(need => NEEDS[need] ?? need);
      sentences.push(`You have to ${wants.join(" and ")}; if you cannot, ask somebody who can.`);
    }
    return sentences.join(" ");
  }

  function tries(left) {
    if (left === null || left === undefined) {
      return "";
    }
    if (left <= 1) {
      return "This is the last try for now: it is not started again after that.";
    }
    return `It may be started ${left} more times, this one included.`;
  }

  function ended(text) {
    const trimmed = text.trim();
    return !trimmed || ".!?".includes(trimmed.slice(-1)) ? trimmed : `${trimmed}.`;
  }

  function sentence(text) {
    const whole = ended(text);
    return whole.slice(0, 1).toUpperCase() + whole.slice(1);
  }

  function inside(text) {
    const trimmed = text.trim().replace(/\.+$/, "");
    if (/^\p{Lu}(?:\p{Ll}| )/u.test(trimmed)) {
      return trimmed[0].toLowerCase() + trimmed.slice(1);
    }
    return trimmed;
  }

  const cause = ranked => (ranked.cause === "not-listed" ? "Something that is not listed here" : ranked.says);

  return Object.freeze({
    NO_CASES, number, share, interval, basis, duration, money, effort, takes, tries, ended, sentence, inside, cause,
  });
})();
