"use strict";

/**
 * The vehicle of an exercise: it has one hidden fault, and answers as vehicles with that fault do; see
 * diagnose/practising/vehicle.py and hiding.py.
 *
 *     Diagnose.vehicle(tree, seed, fault)   finding(check) cures(remedy) facts() howLikely(check, answer)
 *     Diagnose.hiding.byShare / byDifficulty / byMisses(tree, seed, ...)   the place of a fault to hide
 */
Diagnose.vehicle = (() => {
  const MOST_PLACES = 6;

  // How many decimal places a meter of that standard uncertainty shows: a step is no larger than it.
  function shownPlaces(uncertainty) {
    let places = 0;
    while (places < MOST_PLACES && 10 ** -places > uncertainty * (1 + 1e-9)) places += 1;
    return places;
  }

  // A value within a band, by a part of one: evenly between two others, else nearer the next band.
  function readingIn(band, reading, part) {
    const width = band.high - band.low;
    const left = 1 - part;
    let value = band.low + part * width;
    if (band.low <= reading.low && band.high < reading.high) value = band.high - left * left * left * width;
    else if (band.high >= reading.high && band.low > reading.low)
      value = band.low + part * part * part * width;
    for (let places = shownPlaces(reading.uncertainty); places <= MOST_PLACES; places += 1) {
      const ten = 10 ** places;
      const cut = Math.floor(value * ten) / ten;
      if (band.low <= cut && cut < band.high) return cut;
    }
    return band.low <= value && value < band.high ? value : band.low + width / 2;
  }

  // A finding as a person reads it.
  function shown(finding, check) {
    if (finding.answer === "not-sure") return "It cannot be told";
    if (finding.value !== null && check.reading !== null) {
      const own = [0, 1, 2, 3, 4, 5].find(places => Number(finding.value.toFixed(places)) === finding.value);
      const places = Math.max(shownPlaces(check.reading.uncertainty), own ?? MOST_PLACES);
      const doubt = ` (give or take ${Diagnose.sheetNumbers.general(finding.uncertainty)})`;
      return `${finding.value.toFixed(places)} ${check.reading.unit}${doubt}`;
    }
    return check.answers.find(each => each.id === finding.answer)?.says ?? finding.answer;
  }

  function vehicle(tree, seed, fault) {
    const hidden = tree.hypotheses[fault];
    const row = check => Diagnose.evidence.rows(tree)[check][fault];

    function finding(id) {
      const check = tree.checks[id];
      const chance = Diagnose.chance(seed, `check ${id}`);
      if (chance.part() < check.notSure)
        return { check: id, answer: "not-sure", value: null, uncertainty: null };
      const place = chance.among(row(id));
      const answer = check.answers[place].id;
      if (check.reading === null) return { check: id, answer, value: null, uncertainty: null };
      const { uncertainty } = check.reading;
      return {
        check: id,
        answer,
        value: readingIn(check.bands[place], check.reading, chance.part()),
        uncertainty,
      };
    }

    function cures(remedy) {
      const offered = tree.practise.remedies.some(each => each.of === fault);
      return (
        remedy === hidden.id && offered && Diagnose.chance(seed, `remedy ${remedy}`).part() < hidden.cures
      );
    }

    // What holds for every vehicle that the tree is for: fact -> answer.
    const facts = () =>
      Object.entries(tree.appliesTo).map(([fact, fits]) => [
        fact,
        fits[Diagnose.chance(seed, `fact ${fact}`).below(fits.length)],
      ]);

    // How often vehicles with this fault answer so.
    function howLikely(id, answer) {
      const check = tree.checks[id];
      if (answer === "not-sure") return check.notSure;
      return (1 - check.notSure) * row(id)[check.answers.findIndex(each => each.id === answer)];
    }

    return Object.freeze({ fault: hidden, finding, cures, facts, howLikely });
  }

  return Object.freeze(Object.assign(vehicle, { readingIn, shown }));
})();

Diagnose.hiding = (() => {
  const byShare = (tree, seed) => Diagnose.chance(seed, "fault").among(Diagnose.evidence.prior(tree));

  // One of the easiest, middling or hardest third of the faults, by share among those.
  function byDifficulty(tree, seed, level) {
    const { harder } = tree.practise;
    const third = harder.length / 3;
    const place = Diagnose.data.practise.levels.indexOf(level);
    const edge = at => Number(Diagnose.sheetNumbers.whole(at * third));
    const chosen = harder.slice(edge(place), edge(place + 1));
    const weights = Diagnose.evidence.prior(tree).map((share, at) => (chosen.includes(at) ? share : 0));
    return Diagnose.chance(seed, `fault ${level}`).among(weights);
  }

  // A fault that was missed before, three times in four; else any by share. `earlier` is id -> {met, missed}.
  function byMisses(tree, seed, earlier) {
    const chance = Diagnose.chance(seed, "fault missed");
    const rate = ({ met, missed }) => (missed ? (missed + 0.5) / (met + 1) : 0);
    const missed = tree.hypotheses.map(({ id }) => rate(earlier[id] ?? { met: 0, missed: 0 }));
    const usual = !missed.some(each => each > 0) || chance.part() >= Diagnose.data.practise.ofWhatWasMissed;
    return chance.among(usual ? Diagnose.evidence.prior(tree) : missed);
  }

  return Object.freeze({ byShare, byDifficulty, byMisses });
})();
