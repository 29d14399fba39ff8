"use strict";

/**
 * One exercise as it goes: what was chosen, what the vehicle said, what it cost, and what must not be; see
 * diagnose/practising/practice.py. Nothing can be taken back. A forbidden act ends the step and not the
 * exercise.
 *
 *     const run = Diagnose.practiseRun(tree, seed, fault)
 *     run.left() over() spent() choose(choice) byId(id) stop()   and the fields choices, turns, vehicle, named
 *
 * A turn is {choice, became, before, spent, finding, marks, bar, smelt, shares}; became is found, cured,
 * not-cured, trap, barred, handed-over, stopped or went-on. `before` is what was known, readings as the
 * bands that hold them.
 */
Diagnose.practiseRun = (() => {
  const SMELL = "smell-of-gas";
  const NOTHING = Object.freeze({ cost: 0, handsOn: 0, wait: 0, price: 0 });

  const added = (one, other) => ({
    cost: one.cost + other.cost,
    handsOn: one.handsOn + other.handsOn,
    wait: one.wait + other.wait,
    price: one.price + other.price,
  });

  function practiseRun(tree, seed, fault) {
    const M = Diagnose.practiseModel(tree);
    const vehicle = Diagnose.vehicle(tree, seed, fault);
    const choices = Diagnose.practiseChoices(tree, seed);
    const turns = [];
    let situation = { findings: {}, tried: {} };
    let reached = 0;

    const over = () =>
      turns.length > 0 && Diagnose.data.practise.ends.includes(turns[turns.length - 1].became);
    const left = () => {
      const chosen = turns.map(turn => turn.choice.number);
      return over() ? [] : choices.filter(each => !chosen.includes(each.number));
    };
    const pending = () => tree.askFirst.filter(id => !Object.hasOwn(situation.findings, id));
    const shareOf = known => Diagnose.evidence.posterior(tree, known)[fault];

    // The referral of a danger answer, if one was given.
    function stop() {
      const order = [...tree.askFirst, ...Object.keys(tree.checks).filter(id => !tree.askFirst.includes(id))];
      const stopping = order
        .filter(id => Object.hasOwn(situation.findings, id))
        .find(id => Diagnose.past.stops(tree, tree.checks[id], situation.findings[id].answer));
      return stopping === undefined ? null : tree.checks[stopping].refer;
    }

    const turnOf = (choice, became, more = {}) => ({
      choice,
      became,
      before: situation,
      spent: NOTHING,
      finding: null,
      marks: [],
      bar: null,
      smelt: null,
      shares: [0, 0],
      ...more,
    });

    function choose(choice) {
      if (!left().includes(choice)) throw new RangeError(`${choice.id} cannot be chosen`);
      const turn = taken(choice);
      turns.push(turn);
      return turn;
    }

    function taken(choice) {
      if (choice.trap !== null) return turnOf(choice, "trap", { marks: ["trap"] });
      if (stop() !== null) return afterADangerAnswer(choice, stop());
      const marks = leavesDangersOut(choice) ? ["dangers-left-out"] : [];
      if (choice.kind === "stop") {
        return turnOf(choice, "stopped", { spent: cost({ kind: "referral", of: tree.referTo }), marks });
      }
      const step = { kind: choice.kind, of: choice.id };
      const bar = barOf(step);
      if (bar !== null) return turnOf(choice, "barred", { marks: [...marks, "barred"], bar });
      if (step.kind === "check") return { ...check(choice, step), marks };
      if (step.kind === "remedy") return { ...remedy(choice, step), marks };
      return turnOf(choice, "handed-over", { spent: cost(step), marks });
    }

    // Something else is done while a danger question is open: told once.
    function leavesDangersOut(choice) {
      const told = turns.some(turn => turn.marks.includes("dangers-left-out"));
      const harmless = choice.kind === "referral" || choice.kind === "stop" || choice.group === "dangers";
      return pending().length > 0 && !told && !harmless;
    }

    // What bars a step, apart from danger questions that were left out: those are told by themselves.
    function barOf(step) {
      if (step.kind === "referral" || pending().includes(step.of)) return null;
      const goingOn = id => tree.checks[id].answers.find(each => !tree.checks[id].stopOn.includes(each.id));
      const passed = pending().map(id => [
        id,
        { answer: goingOn(id)?.id ?? "not-sure", value: null, uncertainty: null },
      ]);
      const known = { ...situation, findings: { ...situation.findings, ...Object.fromEntries(passed) } };
      const state = Diagnose.practiseModel.stateOf(M, known);
      const used = { starts: state.starts, restored: state.restored };
      if (!Diagnose.rules.kept(tree, step, state.weight, known, used).barred) return null;
      const starts = step.kind === "remedy" || (step.kind === "check" && tree.checks[step.of].starts);
      if (starts && state.starts >= M.tries) return "tries";
      const own = [...M.checks, ...M.remedies].find(each => each.id === step.of);
      return state.restored && own?.restores ? "restored" : "refer";
    }

    // Only stopping is right; whatever else is chosen is not done, and the exercise ends there.
    function afterADangerAnswer(choice, referral) {
      const spent = cost({ kind: "referral", of: referral });
      const right = choice.kind === "stop" || (choice.kind === "referral" && choice.id === referral);
      return turnOf(choice, right ? "stopped" : "went-on", { spent, marks: right ? [] : ["went-on"] });
    }

    function check(choice, step) {
      const before = situation;
      const spent = cost(step);
      const finding = vehicle.finding(choice.id);
      const banded = { answer: finding.answer, value: null, uncertainty: null };
      situation = { ...before, findings: { ...before.findings, [choice.id]: banded } };
      reached |= places(choice);
      return turnOf(choice, "found", {
        before,
        spent,
        finding,
        shares: [shareOf(before), shareOf(situation)],
      });
    }

    function remedy(choice, step) {
      const before = situation;
      const spent = cost(step);
      reached |= places(choice);
      const smelt = smeltAfter(choice.id);
      if (smelt !== null) situation = { ...before, findings: { ...before.findings, [SMELL]: smelt } };
      const stopped = stop() !== null;
      if (!stopped && vehicle.cures(choice.id)) {
        situation = before;
        return turnOf(choice, "cured", { spent, smelt });
      }
      situation = { ...situation, tried: { ...before.tried, [choice.id]: "not-cured" } };
      const shares = [shareOf(before), shareOf(situation)];
      return turnOf(choice, "not-cured", { before, spent, smelt, shares });
    }

    // After hands were on the gas it is smelt for again, as on a walk: of itself, and at no cost.
    function smeltAfter(id) {
      const gas = Object.hasOwn(tree.checks, SMELL) && Diagnose.past.remedyHazards(tree, id).has("gas");
      return gas ? vehicle.finding(SMELL) : null;
    }

    const places = choice => choice.at.reduce((sum, place) => sum | M.bit(place), 0);

    // What a step costs on this very vehicle; see `spent_at` in diagnose/reasoning/figures.py.
    function cost(step) {
      if (step.kind === "check" || step.kind === "remedy") return work(step);
      const matching = M.endings.filter(each => each.kind === step.kind && each.of === step.of);
      const served = matching.some(each => each.serves.includes(fault));
      const own =
        step.kind === "handover"
          ? { cost: matching[0].minutes, handsOn: matching[0].minutes, wait: 0, price: 0 }
          : referral(step.of);
      return served ? own : added(own, referral(tree.referTo));
    }

    function referral(id) {
      const { minutes, wait, price } = tree.referrals[id];
      return {
        cost: M.endings.find(each => each.kind === "referral" && each.of === id).minutes,
        handsOn: minutes,
        wait,
        price,
      };
    }

    function work(step) {
      const choice = byId(step.of);
      const own = (step.kind === "check" ? M.checks : M.remedies).find(each => each.id === step.of);
      const way = M.access(places(choice) & ~reached);
      return { cost: own.cost + way, handsOn: choice.minutes + way, wait: choice.wait, price: choice.price };
    }

    const byId = id => choices.find(each => each.id === id);

    return {
      tree,
      seed,
      fault,
      vehicle,
      choices,
      turns,
      over,
      left,
      stop,
      choose,
      byId,
      named: null,
      known: () => situation,
      been: place => Boolean(reached & M.bit(place)),
      spent: () => turns.reduce((all, turn) => added(all, turn.spent), NOTHING),
    };
  }

  return Object.freeze(practiseRun);
})();
