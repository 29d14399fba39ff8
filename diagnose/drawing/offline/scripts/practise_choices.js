"use strict";

/**
 * What a learner may choose among, numbered, the forbidden acts in the same places as in the program; see
 * diagnose/practising/choosing.py. A choice is {number, kind, id, group, says, minutes, wait, price, at,
 * trap}.
 *
 *     Diagnose.practiseChoices(tree, seed)
 */
Diagnose.practiseChoices = (() => {
  const NEAREST = ["controls", "look", "put right", "dangers"];

  // The forbidden acts of one exercise: a few of those that the hazards of its tree suggest.
  function trapsOf(tree, chance) {
    const { traps, mostTraps } = Diagnose.data.practise;
    const fitting = traps.filter(trap => tree.practise.traps.includes(trap.id));
    const drawn = chance.shuffled(fitting.length).slice(0, mostTraps);
    return drawn.sort((one, other) => one - other).map(at => fitting[at]);
  }

  // The places of the steps that a forbidden act stands among: those of its kind, else the nearest kind.
  function among(listed, trap) {
    const places = group => listed.flatMap((each, at) => (each.group === group ? [at] : []));
    return [trap.among, ...NEAREST].map(places).find(found => found.length);
  }

  return (tree, seed) => {
    const steps = each => each.kind === "check" || each.kind === "remedy";
    const listed = tree.practise.choices.filter(steps);
    const chance = Diagnose.chance(seed, "traps");
    for (const trap of trapsOf(tree, chance)) {
      const places = among(listed, trap);
      const { group } = listed[places[0]];
      const at = places[0] + chance.below(places.length + 1);
      const effort = { minutes: 0, wait: 0, price: 0, at: [] };
      listed.splice(at, 0, { kind: "trap", id: trap.id, group, says: trap.says, ...effort, trap });
    }
    const all = [...listed, ...tree.practise.choices.filter(each => !steps(each))];
    return all.map((each, at) => Object.freeze({ trap: null, ...each, number: at + 1 }));
  };
})();
