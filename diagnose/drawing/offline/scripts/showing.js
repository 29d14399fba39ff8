"use strict";

/**
 * From where a walk stands to the view that shows it; see diagnose/walking/showing.py, scene.py and
 * end_views.py. Nothing here decides anything.
 *
 * A scene is {past, setting, standing, step, ranking, starts, barred, doubts}.
 */
Diagnose.showing = (() => {
  const { words } = Diagnose;
  const YES_OR_NO = [{ id: "yes", says: "Yes" }, { id: "no", says: "No" }];
  const OUTCOMES = [
    { id: "cured", says: "Did that, works now" },
    { id: "not-cured", says: "Did that, no better" },
    { id: "could-not", says: "Could not do that" },
  ];
  /** What the danger questions take: they are asked of everybody, and somebody else may answer them. */
  const SENSES = {
    "smell-of-gas": ["smell", "hear"], "co-alarm": ["hear"], "mains-harmed": ["hear"], "battery-harmed": ["smell"],
  };
  const ASKING = ["answer", "notSure"];

  /** The view of a scene. */
  function show(scene) {
    const { standing, step } = scene;
    if (step !== null) return ofStep(scene, step);
    const shown = {
      stopped: Diagnose.showingEnds.stopped,
      cleared,
      "left-off": Diagnose.showingEnds.leftOff,
      cured: Diagnose.showingEnds.cured,
      misfit: Diagnose.showingEnds.misfit,
      "cured-when": curedQuestion,
      unsure,
    };
    return (shown[standing.asking] ?? question)(scene, standing.of);
  }

  function ofStep(scene, step) {
    if (step.kind === "check") return question(scene, step.of);
    if (step.kind === "remedy") return remedy(scene, step.of);
    if (step.kind === "handover") return Diagnose.showingEnds.handedOver(scene, step.of);
    if (step.kind === "stop") return Diagnose.showingEnds.stopped(scene, step.of);
    return Diagnose.showingEnds.referred(scene, step.of);
  }

  /** The numbers of the lines that `back` may take back, latest first. */
  function backwards(past) {
    const steps = past.live.filter((line) => Diagnose.past.STEPS.includes(line.kind));
    const first = steps.findIndex((line) => !line.ahead);
    return first < 0 ? [] : steps.slice(first).map((line) => line.number).reverse();
  }

  /** The fields that every view has; `commands` are what may be done beside `danger`. */
  function common(scene, kind, commands) {
    const { past, setting, standing } = scene;
    const canGoBack = !["stopped", "left-off"].includes(standing.asking) && backwards(past).length > 0;
    return {
      kind,
      symptom: past.tree.symptom,
      tree: past.tree.id,
      cautions: Diagnose.cautioning.cautionsNow(past, standing, scene.step),
      notices: notices(scene),
      ranking: scene.ranking,
      numbers: setting.numbers,
      canGoBack,
      commands: [...commands, ...(canGoBack ? ["back"] : []), ...(kind === "stopped" ? [] : ["danger"])],
    };
  }

  function notices(scene) {
    const { past, standing } = scene;
    const said = past.tree.shipped ? [] : [words.notChecked];
    if (!["stopped", "cleared"].includes(standing.asking)) said.push(...changes(past));
    if (standing.asking === "danger-question") {
      said.push(Diagnose.standing.askedAgainBecause(past, standing.of));
    }
    if (scene.ranking.length && scene.ranking[0].cause === "not-listed") said.push(words.otherLeads);
    const last = past.live.filter((line) => line.kind === "tried").pop();
    const couldNot = last !== undefined && last.answer === "could-not" && !last.ahead;
    if (standing.asking === "reckoned" && couldNot) said.push(words.couldNotEnds);
    if (scene.barred) said.push(words.notAllowed);
    return [...said, ...scene.doubts].filter((each) => each !== "");
  }

  /** That the tree has changed and what was dropped, said until the next answer. */
  function changes(past) {
    const resumed = past.live.filter((line) => line.kind === "resumed" && line.subject !== Diagnose.past.BY_TIME);
    const last = resumed.pop();
    if (last === undefined || last.subject !== Diagnose.past.CHANGED_TREE) return [];
    const since = past.live.filter((line) => line.number > last.number);
    if (since.some((line) => Diagnose.past.STEPS.includes(line.kind))) return [];
    const dropped = since
      .filter((line) => line.kind === "dropped")
      .map((line) => (line.answer ? `${line.subject}: ${line.answer}` : line.subject));
    if (!dropped.length) return [words.treeChanged];
    return [words.treeChanged, words.dropped.replace("{dropped}", () => dropped.join(", "))];
  }

  function question(scene, id) {
    const { past, standing } = scene;
    const check = Diagnose.past.checkOf(past.tree, id);
    const askFirst = standing.asking === "danger-question";
    const fact = standing.asking === "fact";
    const commands = [...ASKING, ...(check.reading ? ["reading"] : []), ...(scene.step ? ["why"] : []), "leaveOff"];
    return {
      ...common(scene, "question", commands),
      check: id,
      ask: check.ask,
      how: how(scene, check),
      choices: check.answers,
      measures: check.reading,
      alsoReadIn: check.reading === null ? [] : Diagnose.readings.alsoReadIn(scene.setting.units, check.reading),
      effort: fact ? { minutes: 0, wait: 0, price: 0 } : effort(past, [check]),
      where: where(scene, check),
      needs: check.needs,
      askFirst,
      again: askFirst && Diagnose.standing.askedAgainBecause(past, id) !== "",
      fact,
      starts: check.starts,
      triesLeft: check.starts ? triesLeft(scene) : null,
    };
  }

  function unsure(scene, id) {
    const check = scene.past.tree.checks[id];
    return {
      ...common(scene, "unsure", [...ASKING, ...(check.reading ? ["reading"] : []), "leaveOff"]),
      check: id,
      ask: check.ask,
      how: how(scene, check),
      choices: check.answers,
      measures: check.reading,
      advice: words.fetchHelp,
    };
  }

  function remedy(scene, id) {
    const remedies = Diagnose.past.causesOf(scene.past.tree, id).map((cause) => cause.remedy);
    const places = remedies.map((each) => where(scene, each));
    return {
      ...common(scene, "remedy", ["answer", "why", "leaveOff"]),
      remedy: id,
      says: Diagnose.past.inWords(scene.past.tree, id),
      do: remedies.map((each) => each.text),
      how: remedies.map((each) => each.how).filter((each) => each !== ""),
      choices: OUTCOMES,
      effort: effort(scene.past, remedies),
      where: [...new Map(places.map((each) => [JSON.stringify(each), each])).values()],
      needs: [...new Set(remedies.flatMap((each) => each.needs))],
      triesLeft: triesLeft(scene),
    };
  }

  function curedQuestion(scene, id) {
    const { curedWhen } = scene.past.tree;
    return {
      ...common(scene, "cured-question", [...ASKING, "leaveOff"]),
      remedy: id,
      says: Diagnose.past.inWords(scene.past.tree, id),
      ask: curedWhen.ask,
      minutes: curedWhen.minutes,
      choices: YES_OR_NO,
    };
  }

  function cleared(scene, id) {
    const { tree } = scene.past;
    return {
      ...common(scene, "cleared-question", [...ASKING, "leaveOff"]),
      ask: words.cleared,
      stoppedBy: tree.referrals[id] ?? tree.referrals[tree.referTo],
      choices: YES_OR_NO,
    };
  }

  /** How to look; a danger question says as well whom to ask, where the card says what cannot be done. */
  function how(scene, check) {
    const { past, setting } = scene;
    if (!past.tree.askFirst.includes(check.id)) return check.how;
    const senses = [...new Set([...(SENSES[check.id] ?? []), ...check.needs])];
    const lacking = senses.filter((sense) => setting.cannot.includes(sense));
    const help = lacking.length ? words.askSomebody.replace("{senses}", lacking.join(" or ")) : "";
    const ended = check.id === Diagnose.past.CO_ALARM && setting.alarmEnded;
    const alarm = ended ? words.alarmEnded.replace("{day}", setting.alarmEnded) : "";
    return [check.how, help, alarm].filter((each) => each !== "").join(" ");
  }

  function triesLeft(scene) {
    const { tries } = scene.past.tree;
    return tries === null ? null : Math.max(0, tries - scene.starts);
  }

  /** Hands-on minutes with getting there, minutes of waiting, and money; never added up for a person. */
  function effort(past, steps) {
    const been = Diagnose.past.places(past);
    const fresh = [...new Set(steps.map((each) => each.at))].filter((at) => at !== null && !been.has(at));
    const there = fresh.filter((at) => Object.hasOwn(past.tree.places, at));
    const sum = (key) => steps.reduce((total, each) => total + each[key], 0);
    const access = there.reduce((total, at) => total + past.tree.places[at].access, 0);
    return { minutes: sum("minutes") + access, wait: sum("wait"), price: sum("price") };
  }

  function where(scene, step) {
    const part = step.part ?? "";
    const { whereabouts } = scene.setting;
    return {
      place: step.at === null ? "" : (scene.past.tree.places[step.at]?.says ?? ""),
      part,
      whereabouts: Object.hasOwn(whereabouts, part) ? whereabouts[part] : "",
    };
  }

  return Object.freeze({ show, common, backwards });
})();
