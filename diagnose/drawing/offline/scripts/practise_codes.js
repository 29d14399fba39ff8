"use strict";

/**
 * The codes of exercises and of results, the very same as the program's; see
 * diagnose/practising/exercise.py and result_code.py.
 *
 *     Diagnose.exerciseCodes.written(tree, seed, fault)              the code that leads to this exercise
 *     Diagnose.exerciseCodes.result(tree, seed, fault, chosen, many, named)
 *     Diagnose.exerciseCodes.read(text, trees)                       {tree, seed, fault}; throws CannotRead
 */
Diagnose.exerciseCodes = (() => {
  class CannotRead extends Error {}

  const given = () => Diagnose.data.practise;

  const mask = (seed, many) => Diagnose.chance(seed, "mask").below(many);

  function head(tree, seed, fault) {
    const { version, tags, roles, seeds } = given();
    const many = tree.hypotheses.length;
    return [
      version,
      [tree.code.symptom, tags],
      [tree.practise.figures, tags],
      [roles.indexOf(Diagnose.data.role), roles.length],
      [seed, seeds],
      [(fault + mask(seed, many)) % many, many],
    ];
  }

  const written = (tree, seed, fault) => Diagnose.code.ofNumbers(head(tree, seed, fault));

  // Behind the exercise the numbers of what was chosen, a nought, and the place of the named fault plus one.
  function result(tree, seed, fault, chosen, many, named) {
    const places = [...chosen, 0].map(number => [number, many + 1]);
    const place = 1 + tree.hypotheses.findIndex(each => each.id === named);
    return Diagnose.code.ofNumbers([
      ...head(tree, seed, fault),
      ...places,
      [place, tree.hypotheses.length + 1],
    ]);
  }

  function refuse(text) {
    throw new CannotRead(text);
  }

  // What stands behind the exercise is passed over: a result begins with the exercise that it is of.
  function read(text, trees) {
    const { version, tags, roles, seeds } = given();
    const next = Diagnose.code.numbersIn(text, refuse);
    if (next(version[1]) !== version[0]) refuse("This is no code of an exercise, or one of a later version.");
    const [symptom, figures, role, seed] = [next(tags), next(tags), roles[next(roles.length)], next(seeds)];
    const tree = trees.map(Diagnose.tree).find(each => each !== null && each.code.symptom === symptom);
    if (tree === undefined) refuse("The symptom of this exercise is not in this page.");
    if (role !== Diagnose.data.role)
      refuse(`This exercise is for ${role === "owner" ? "an owner" : "a technician"}.`);
    if (tree.practise.figures !== figures) {
      refuse(
        "This exercise was made with other figures than this page has, so its vehicle would answer otherwise.",
      );
    }
    const many = tree.hypotheses.length;
    return { tree, seed, fault: (next(many) - mask(seed, many) + many) % many };
  }

  return Object.freeze({ written, result, read, CannotRead });
})();
