"use strict";

/** The views of a walk's ends; see diagnose/walking/end_views.py. */
Diagnose.showingEnds = (() => {
  function end(scene, kind, state, cause = null) {
    const { past, setting, ranking } = scene;
    return {
      ...Diagnose.showing.common(scene, kind, kind === "left-off" ? ["resume"] : []),
      state,
      prevention: Diagnose.ending.prevention(past, ranking, cause),
      leftAlone: Diagnose.ending.leftAlone(past, ranking, setting.role, setting.cannot),
      done: Diagnose.ending.doneSoFar(past),
      certificate: Diagnose.words.noCertificate,
    };
  }

  /** The remedy of `cause` cured. */
  function cured(scene, cause) {
    return { ...end(scene, "cured", "cured", cause), cause, says: Diagnose.past.inWords(scene.past.tree, cause) };
  }

  /** Put aside. */
  const leftOff = (scene) => end(scene, "left-off", "left-off");

  /** Danger: every referral that the journal's stops lead to, or the one that the route's stop names. */
  function stopped(scene, at) {
    const { past, setting, step } = scene;
    const { tree } = past;
    const ids = step !== null ? [at] : Diagnose.stops.stopReferrals(past);
    const known = ids.filter((id) => Object.hasOwn(tree.referrals, id));
    const referrals = (known.length ? known : tree.dangerReferrals).map((id) => tree.referrals[id]);
    const uncleared = step === null && Diagnose.stops.onlyUncleared(past);
    return {
      ...end(scene, "stopped", "stopped"),
      referrals,
      because: Diagnose.stops.because(past),
      first: Diagnose.stops.firstWords(referrals, setting.numbers, uncleared),
      ownNumbers: setting.ownNumbers,
    };
  }

  /** Handed to somebody qualified. */
  function referred(scene, id) {
    const { past, setting } = scene;
    return {
      ...end(scene, "referred", "referred"),
      referral: past.tree.referrals[id],
      register: id === "gas-engineer" ? setting.register : "",
      ownNumber: setting.ownNumbers[id] ?? "",
    };
  }

  /** Handed to another tree, with the cause that led there and what may be taken along. */
  function handedOver(scene, tree) {
    const { past } = scene;
    const shares = new Map(scene.ranking.map((each) => [each.cause, each.share]));
    const leads = Object.values(past.tree.causes)
      .filter((cause) => cause.remedy.kind === "see" && cause.remedy.text === tree)
      .sort((one, other) => (shares.get(other.id) ?? 0) - (shares.get(one.id) ?? 0));
    const carry = Object.entries(Diagnose.past.findings(past))
      .filter(([id]) => !past.tree.askFirst.includes(id))
      .map(([check, finding]) => ({ check, ...finding }));
    return {
      ...end(scene, "handed-over", "referred"),
      tree,
      says: leads.length ? leads[0].says : "",
      carry,
      here: Diagnose.data.trees.some((each) => each.id === tree),
      elsewhere: Object.hasOwn(Diagnose.data.elsewhere, tree) ? Diagnose.data.elsewhere[tree] : "",
    };
  }

  /** The tree is not for this vehicle. */
  function misfit(scene, fact) {
    const { tree } = scene.past;
    const check = Diagnose.past.checkOf(tree, fact);
    const says = (id) => check.answers.find((each) => each.id === id)?.says ?? id;
    return {
      ...end(scene, "not-for-this", "left-off"),
      fact,
      ask: check.ask,
      fits: tree.appliesTo[fact].map(says),
      has: says(Diagnose.past.findings(scene.past)[fact].answer),
    };
  }

  return Object.freeze({ cured, leftOff, stopped, referred, handedOver, misfit });
})();
