"use strict";

/**
 * What is said before anything is concluded from answers that do not go together, or that fit nothing; see
 * diagnose/reasoning/fitting.py and diagnose/walking/doubting.py. At the prompt one of two such answers may be
 * asked again before an ending; here it is said, and the way back stays open.
 */
Diagnose.doubts = (() => {
  const CONFLICTING = 2;
  const SURPRISING = 0.01;
  /** Up to so many vectors of answers are counted; beyond that nothing is said of surprise. */
  const MOST_VECTORS = 20000;
  const ENDINGS = ["referral", "handover"];
  const { words } = Diagnose;

  /** Findings that are sure and that causes differ in, in the tree's order. */
  function telling(tree, situation) {
    const rows = Diagnose.evidence.rows(tree);
    const differ = (table) => table.some((row) => row.some((p, at) => Math.abs(p - table[0][at]) > 1e-12));
    return Object.keys(tree.tables)
      .filter((id) => Object.hasOwn(situation.findings, id))
      .filter((id) => situation.findings[id].answer !== "not-sure" && differ(rows[id]))
      .map((id) => ({ check: id, ...situation.findings[id] }));
  }

  /** Every two findings that clearly speak against each other, the clearest first. */
  function pairs(tree, situation) {
    const found = telling(tree, situation);
    const before = Diagnose.evidence.prior(tree).map(Math.log);
    const logs = found.map((each) =>
      Diagnose.evidence.logLikelihood(tree, { findings: { [each.check]: each }, tried: {} }));
    const chance = (each) => Diagnose.numbers.logSum(each.map((log, at) => log + before[at]));
    const alone = logs.map(chance);
    const measured = [];
    for (let one = 0; one < found.length; one += 1) {
      for (let other = one + 1; other < found.length; other += 1) {
        const together = logs[one].map((log, at) => log + logs[other][at]);
        const both = chance(together);
        const bits = (alone[one] + alone[other] - both) / Math.LN2;
        if (bits > CONFLICTING || Number.isNaN(bits)) {
          const gain = together.map((log) => (log - both) / Math.LN2);
          measured.push({ checks: [found[one].check, found[other].check], bits,
            explainedBy: explainedBy(tree, gain, bits) });
        }
      }
    }
    return measured.sort((one, other) => other.bits - one.bits);
  }

  function explainedBy(tree, gain, bits) {
    const hidden = gain.length - 1;
    const lifting = gain.map((_, at) => at).filter((at) => at !== hidden && gain[at] >= bits - 1e-9);
    if (lifting.length) return tree.hypotheses[lifting.reduce((a, b) => (gain[b] > gain[a] ? b : a))].id;
    return gain[hidden] >= bits - 1e-9 ? "not-listed" : null;
  }

  /** Whether the findings as a whole fit no listed cause well: the prior predictive p-value (Box 1980). */
  function surprising(tree, situation) {
    const found = telling(tree, situation);
    const rows = Diagnose.evidence.rows(tree);
    const tables = found.map((each) => rows[each.check]);
    const vectors = tables.reduce((product, table) => product * table[0].length, 1);
    if (!found.length || vectors > MOST_VECTORS) return false;
    const seen = found.map((each) => likeliestAnswer(tree.checks[each.check], each));
    const before = Diagnose.evidence.prior(tree);
    const chance = before.reduce((sum, share, at) =>
      sum + seen.reduce((product, answer, k) => product * tables[k][at][answer], share), 0);
    return noLikelier(tables, before, chance * (1 + 1e-9)) < SURPRISING;
  }

  /** The chance of all vectors of answers that are no likelier than `here`, each counted. */
  function noLikelier(tables, before, here) {
    const weights = tables.map(() => new Float64Array(before.length));
    let total = 0;
    const count = (k, above) => {
      const [mine, table] = [weights[k], tables[k]];
      for (let answer = 0; answer < table[0].length; answer += 1) {
        let sum = 0;
        for (let at = 0; at < mine.length; at += 1) {
          mine[at] = above[at] * table[at][answer];
          sum += mine[at];
        }
        if (k + 1 < tables.length) count(k + 1, mine);
        else if (sum <= here) total += sum;
      }
    };
    count(0, before);
    return total;
  }

  /** The place of the answer; of a reading, that of the band in which the true value most likely lies. */
  function likeliestAnswer(check, finding) {
    const named = check.answers.findIndex((each) => each.id === finding.answer);
    if (finding.value === null || finding.value === undefined || check.reading === null) return named;
    const doubt = finding.uncertainty ?? check.reading.uncertainty;
    const weights = Diagnose.evidence.logBandWeights(check.bands, finding.value, doubt);
    const mass = check.bands.map((band, at) => weights[at] + Math.log(band.high - band.low));
    const most = Math.max(...mass);
    return mass[named] >= most - 1e-9 ? named : mass.indexOf(most);
  }

  /**
   * The sentences to be said before a step: none before a check, and none twice for the same answers.
   * @returns {string[]}
   */
  function before(past, step) {
    if (step.kind !== "remedy" && !ENDINGS.includes(step.kind)) return [];
    const { tree } = past;
    const situation = Diagnose.past.situation(past);
    const lines = new Map(past.live.filter((line) => line.kind === "finding").map((line) => [line.subject, line]));
    const found = pairs(tree, situation);
    const after = ENDINGS.includes(step.kind) ? words.saySo : words.goBack;
    for (const pair of found) {
      const two = pair.checks.map((id) => lines.get(id)).sort((one, other) => one.number - other.number);
      if (!said(past, two)) {
        const [first, second] = two.map((line) => inWords(past, line));
        const doubt = words.seldomTogether.replace("{first}", () => first).replace("{second}", () => second);
        return [`${doubt} ${after}${ifBothAreRight(past, pair)}`];
      }
    }
    const told = [...lines.values()].filter((line) => line.answer !== "not-sure"
      && Object.hasOwn(tree.checks, line.subject));
    if (found.length || said(past, told) || !surprising(tree, situation)) return [];
    return [`${words.fitNothing} ${after}`];
  }

  function inWords(past, line) {
    const check = Diagnose.past.checkOf(past.tree, line.subject);
    if (line.value !== null && check.reading !== null) {
      return `"${check.ask.trim()}" ${Diagnose.readings.short(line.value)} ${check.reading.unit}`;
    }
    const says = check.answers.find((each) => each.id === line.answer)?.says ?? line.answer;
    return `"${check.ask.trim()}" ${says.replace(/[. ]+$/, "")}`;
  }

  function ifBothAreRight(past, pair) {
    if (pair.explainedBy === null) return "";
    if (pair.explainedBy === "not-listed") return ` ${words.bothNotListed}`;
    const causes = Diagnose.past.causesOf(past.tree, pair.explainedBy);
    const says = causes.map((cause) => cause.says.replace(/[. ]+$/, "")).join(" and ");
    return ` ${words.bothRight.replace("{causes}", () => says)}`;
  }

  /** Whether a notice about these findings was shown before: with a remedy since, or for answers alike. */
  function said(past, lines) {
    if (!lines.length) return true;
    const later = lines.reduce((one, other) => (other.number > one.number ? other : one));
    return past.lines.some((line) => (line.kind === "tried" && line.number > later.number)
      || (line.kind === "finding" && line.number < later.number && line.subject === later.subject
        && line.answer === later.answer));
  }

  return Object.freeze({ pairs, surprising, before });
})();
