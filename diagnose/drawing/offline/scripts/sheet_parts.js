"use strict";

/**
 * The hand-over sheet as values and as plain text: the same parts, order and sentences as the program's
 * (diagnose/walking/sheet_making.py and sheet.py, whose phrases sheet_data.py hands over).
 *
 *     Diagnose.sheetParts.of(words, tree, walk, told)   the sheet: parts of lines
 *     Diagnose.sheetParts.text(parts)                   as plain text, a line for each, none of them wrapped
 *     Diagnose.sheetParts.exact(tree, walk, code)       the code with the exact readings behind it, as a
 *                                                       square code holds them (walking/exact_readings.py)
 *
 * `words` is `Diagnose.data.sheet`. `walk` is {tree, digest, vehicle, role, opened, state, journal}.
 * `told` is what had to be reckoned or looked up: {case, code, aloud, ranking, intervals, referral,
 * register}, with `intervals` cause -> [low, high] and `referral` the id of whoever it was handed to, or
 * "".
 *
 * @typedef {{id: string, lines: SheetLine[]}} SheetPart what is empty is left out
 * @typedef {{text: string, mark: string, indent: number, head: boolean, label: string,
 *   code: boolean}} SheetLine
 *   `mark` stands before an entry, `head` says that the line names what follows, `label` is how the text
 *   begins, `code` marks the line with the case's code
 */
Diagnose.sheetParts = (() => {
  const filled = (phrase, values) => phrase.replace(/\{(\w+)\}/g, (all, name) => values[name] ?? all);

  // Whatever is no printable character becomes a space, as on the program's sheet.
  const plain = text => text.replace(/[\p{C}\p{Z}]+/gu, " ").trim();

  const line = (text, more = {}) => ({
    text: plain(text),
    mark: "",
    indent: 0,
    head: false,
    label: "",
    code: false,
    ...more,
  });
  const head = text => line(text, { head: true });
  const item = (text, mark = "- ") => line(text, { mark });

  // A part with a title above its entries; nothing where there are none.
  const headed = (id, title, texts) => ({
    id,
    lines: texts.length ? [head(title), ...texts.map(text => item(text))] : [],
  });

  function of(words, tree, walk, told) {
    const past = Diagnose.past.read(tree, walk.journal);
    const parts = [
      heading(words, tree, walk, told),
      stopped(words, past),
      ...whom(words, past, told),
      ...found(words, past, walk),
      started(words, past),
      headed("tried", words.phrases.tried, tried(words, past)),
      headed("untouched", words.phrases.untouched, untouched(past, walk, told)),
      headed("likely", words.phrases.likely, likely(words, told)),
      headed("cautions", words.phrases.cautions, cautions(past)),
      back(words, tree, walk, told),
      authorised(words),
      { id: "certificate", lines: [line(words.phrases.certificate)] },
    ];
    return parts.filter(part => part.lines.length);
  }

  const text = parts => {
    const lines = part => part.lines.map(each => " ".repeat(each.indent) + each.mark + each.text);
    return `${parts.map(part => lines(part).join("\n")).join("\n\n")}\n`;
  };

  function heading(words, tree, walk, told) {
    const { phrases } = words;
    const labelled = (about, says) => line(`${about}: ${says}`, { label: `${about}:` });
    return {
      id: "heading",
      lines: [
        head(phrases.title),
        ...(told.case ? [labelled(phrases.case, String(told.case))] : []),
        labelled(phrases.date, `${minute(walk.opened)} UTC`),
        labelled(phrases.vehicle, walk.vehicle || phrases.noLabel),
        labelled(phrases.symptom, tree.symptom),
        labelled(phrases.walkWas, words.states[walk.state]),
        ...notices(phrases, tree, walk).map(each => line(each)),
      ],
    };
  }

  function notices(phrases, tree, walk) {
    const told = tree.shipped ? [] : [phrases.notChecked];
    if (walk.digest && tree.digest && walk.digest !== tree.digest) {
      told.push(phrases.changed);
      const gone = Diagnose.past.withoutPlace(tree, walk.journal);
      const each = gone.map(([id, answer]) => (answer ? `${id}: ${answer}` : id));
      if (each.length) told.push(filled(phrases.gone, { gone: each.join("; ") }));
    }
    return told;
  }

  function stopped(words, past) {
    const why = Diagnose.stops.because(past);
    return { id: "stopped", lines: why ? [line(filled(words.phrases.because, { why }))] : [] };
  }

  function whom(words, past, told) {
    const { phrases } = words;
    const stops = Diagnose.stops.stopReferrals(past);
    const ids = stops.length || !told.referral ? stops : [told.referral];
    const there = ids.filter(id => Object.hasOwn(past.tree.referrals, id)).map(id => past.tree.referrals[id]);
    const sentences = each => [
      line(each.say, { indent: 2 }),
      line(filled(phrases.until, { until_help: each.untilHelp }), { indent: 2 }),
    ];
    return there.map(each => ({
      id: "whom",
      lines: [
        head(filled(phrases.for, { to: each.to })),
        ...(told.register && each.id === "gas-engineer" ? [line(filled(phrases.register, told))] : []),
        // After a stop, getting away comes before telephoning.
        ...(stops.length ? sentences(each).reverse() : sentences(each)),
      ],
    }));
  }

  // Facts of the vehicle first, then what was found, each where it was answered last, with its time in UTC.
  function found(words, past, walk) {
    const { phrases } = words;
    const latest = new Map(
      past.live.filter(each => each.kind === "finding").map(each => [each.subject, each]),
    );
    const lines = [...latest.values()].sort((one, other) => one.number - other.number);
    const asked = lines.map(each => ({ ...each, check: Diagnose.past.checkOf(past.tree, each.subject) }));
    const says = each => `${each.check.ask} ${said(words, each)}`;
    const seen = asked.filter(each => !each.check.fact);
    const when = each =>
      day(each.time) === day(walk.opened) ? minute(each.time).slice(11) : minute(each.time);
    return [
      headed("facts", phrases.facts, asked.filter(each => each.check.fact).map(says)),
      {
        id: "found",
        lines: seen.length
          ? [head(phrases.found), ...seen.map(each => item(says(each), `${when(each)} `))]
          : [line(phrases.nothing)],
      },
    ];
  }

  function said(words, finding) {
    const { check } = finding;
    if (finding.answer === "not-sure") return words.phrases.notSure;
    if (finding.value !== null && check.reading !== null) {
      const within = finding.uncertainty ? ` ± ${Diagnose.sheetNumbers.general(finding.uncertainty)}` : "";
      return `${Diagnose.sheetNumbers.general(finding.value)}${within} ${check.reading.unit}`;
    }
    return check.answers.find(each => each.id === finding.answer)?.says ?? finding.answer;
  }

  function started(words, past) {
    const { phrases } = words;
    if (past.tree.tries === null) return { id: "starts", lines: [] };
    const count = past.journal.filter(each => Diagnose.past.isStart(past.tree, each)).length;
    const times = [phrases.never, phrases.once, phrases.twice][count] ?? filled(phrases.times, { count });
    return { id: "starts", lines: [line(filled(phrases.starts, { times }))] };
  }

  function tried(words, past) {
    const became = Diagnose.past.tried(past);
    return past.live
      .filter(each => each.kind === "tried")
      .map(each => {
        const how = became[each.subject] ?? each.answer;
        const done = Diagnose.past
          .causesOf(past.tree, each.subject)
          .map(cause => cause.remedy.text.replace(/\.+$/, ""));
        return `${done.join("; ")}: ${words.became[how] ?? how}`;
      });
  }

  const untouched = (past, walk, told) =>
    Diagnose.ending.leftAlone(past, told.ranking, walk.role, []).map(each => `${each.says}: ${each.why}`);

  function likely(words, told) {
    const { phrases } = words;
    const percent = share => filled(phrases.percent, { number: Diagnose.sheetNumbers.whole(100 * share) });
    return told.ranking.slice(0, words.mostCauses).map(each => {
      const [low, high] = told.intervals[each.cause].map(percent);
      return filled(phrases.likelyOne, { cause: each.says, share: percent(each.share), low, high });
    });
  }

  function cautions(past) {
    const shown = new Set(past.live.filter(each => each.kind === "shown").map(each => each.subject));
    const there = [...shown].filter(id => Object.hasOwn(past.tree.cautionTexts, id));
    return there.map(id => past.tree.cautionTexts[id]).map(each => `${each.word}: ${each.say}`);
  }

  // The outcomes by number, and how code and number come back.
  function back(words, tree, walk, told) {
    const { phrases } = words;
    if (!told.code) return { id: "back", lines: [] };
    const listed = tree.hypotheses.map(each => (each.id === "not-listed" ? phrases.else : each.says));
    const wide = String(listed.length).length;
    return {
      id: "back",
      lines: [
        head(phrases.back),
        line(filled(phrases.code, { code: told.code }), { code: true }),
        line(filled(phrases.aloud, { aloud: told.aloud.join(", ") })),
        ...listed.map((says, at) => item(says, `${String(at + 1).padStart(wide)} `)),
        line(phrases.type),
        line(`diagnose cases confirm ${told.code} ${phrases.number}`, { indent: 2 }),
        line(phrases.findings),
        line(`diagnose cases add --code "${exact(tree, walk, told.code)}"`, { indent: 2 }),
      ],
    };
  }

  function authorised({ phrases, blank }) {
    const labels = [phrases.name, phrases.date, phrases.signature];
    return {
      id: "authorised",
      lines: [line(phrases.orders), ...labels.map(label => line(`${label}: ${blank}`, { indent: 2 }))],
    };
  }

  // The readings behind the code, in the order of the code's places; nothing where there is no code.
  function exact(tree, walk, code) {
    if (!code) return "";
    const past = Diagnose.past.read(tree, walk.journal);
    const findings = Diagnose.past.findings(past);
    const readings = tree.code.found
      .filter(([id]) => Object.hasOwn(findings, id))
      .flatMap(([id]) => {
        const check = Diagnose.past.checkOf(tree, id);
        const { value, uncertainty } = findings[id];
        if (check.reading === null || value === null) return [];
        const figures = [value, ...(uncertainty ? [uncertainty] : [])].map(Diagnose.sheetNumbers.shortest);
        return [[(check.was[0] ?? check.id).toUpperCase(), ...figures].join(":")];
      });
    return [code, ...readings].join(" ");
  }

  const minute = time => new Date(time).toISOString().slice(0, 16).replace("T", " ");
  const day = time => minute(time).slice(0, 10);

  return Object.freeze({ of, text, exact });
})();
