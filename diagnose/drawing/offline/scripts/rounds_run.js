"use strict";

/**
 * A round from the first task to the last: keeps each mark before the next screen shows, opens the walk of what is
 * wrong, stops for danger, and tells where it stands. What the rest of the page is to it comes in by `open`.
 *
 *     Diagnose.rounds.open(host)         host: {data(), walks(), vehicle, trouble, start(), walk(tree, carried, origin),
 *                                        setting(), stopOfWalks(), now()}
 *     Diagnose.rounds.entries() waiting() begin(id) resume(id) active() leave() danger() takeStop() stoppedBy(walks)
 */
Diagnose.rounds = (() => {
  const layout = () => Diagnose.layout;
  const R = () => Diagnose.roundsReading;
  const S = () => Diagnose.roundsScreens;
  const ELSEWHERE = "This round has gone on in another window. Here nothing more of it is kept.";
  const CHANGED = "This round has changed since it was left off; what still has a place in it was kept.";
  const CLEARED =
    "Danger stopped this vehicle. Has somebody qualified looked at that since, and cleared it?";
  const YES_OR_NO = [{ id: "yes", says: "Yes" }, { id: "no", says: "No" }];
  const NOTHING = { minutes: 0, wait: 0, price: 0 };

  let host = null;
  let keeping = null;
  let kept = null;
  let of = null;
  let since = 0;
  let shown = "";
  let cautioned = new Set();
  let been = new Set();
  let notices = [];

  const holds = () => Boolean(Diagnose.data.rounds);
  const time = () => new Date(host.now()).toISOString();
  const today = () => Diagnose.setting.dayOf(host.now());

  function open(given) {
    host = given;
    keeping = holds() ? Diagnose.roundsKeeping.open(host.vehicle, host.trouble) : null;
    keeping?.watch(onOtherWindow);
  }

  const active = () => kept !== null;
  const leave = () => {
    [kept, of, shown] = [null, null, ""];
  };

  // What the first screen offers: each round, and those that were begun and not ended.
  const entries = () => Object.entries(holds() ? Diagnose.data.rounds.rounds : {})
    .map(([id, { title, says }]) => ({ id, title, says }));

  const waiting = () => (keeping ? keeping.rounds() : [])
    .filter(each => each.stage !== "ended" && R().round(each.round) !== null)
    .map(each => ({ id: each.id, title: R().round(each.round).title, changed: each.changed }));

  // Taking a round in hand -----------------------------------------------------------------------------------

  function begin(id) {
    const opened = time();
    take({
      id: `${opened}-${Math.random().toString(36).slice(2, 8)}`, round: id, digest: R().round(id).digest,
      vehicle: host.vehicle, opened, changed: opened, stage: "open", lines: [], revision: 0,
    });
    overviewOrStop();
  }

  function resume(id) {
    const found = keeping?.rounds().find(each => each.id === id);
    if (!found || R().round(found.round) === null) {
      host.start();
      return;
    }
    take(found);
    if (found.digest !== of.digest) {
      const { dropped } = read();
      notices = [CHANGED, ...(dropped.length ? [`No longer in the round, so dropped: ${dropped.join(", ")}.`] : [])];
      kept.digest = of.digest;
    }
    if (kept.stage === "left-off" || kept.stage === "ended") {
      kept.stage = "open";
    }
    overviewOrStop();
  }

  function take(round) {
    kept = round;
    of = R().round(round.round);
    since = round.lines.length;
    [shown, cautioned, been, notices] = ["", new Set(), new Set(), []];
  }

  // Where it stands ------------------------------------------------------------------------------------------

  const read = () => R().past(of, kept.lines, Diagnose.data.rounds.facts);

  // The walk that a wrong mark opened last, before the task was marked again.
  function walkOf(every, at) {
    const mark = every[at];
    const again = every.slice(at + 1).find(each => each.task === mark.task);
    return host.walks().find(walk => walk.round === kept.id && walk.task === mark.task && walk.opened >= mark.time
      && (!again || walk.opened < again.time)) ?? null;
  }

  const overdue = (task, dates) =>
    dates.filter(date => date.over && task.dates.includes(date.of)).map(date => date.told);

  function standing() {
    const past = read();
    const dates = Diagnose.roundsVerdict.dates(today());
    asTheDatesStand(past, dates);
    const settled = new Set();
    const marks = past.every.map((mark, at) => {
      const walk = mark.end === "wrong" ? walkOf(past.every, at) : null;
      if (walk?.state === "cured") {
        settled.add(walk.id);
      }
      return { ...mark, walk: walk?.id ?? null };
    });
    const cured = new Set([...past.marks.values()]
      .filter(mark => mark.end === "wrong" && (Diagnose.roundsVerdict.isRenewed(of.byId[mark.task], mark, dates)
        || settled.has(marks.find(each => each.number === mark.number).walk)))
      .map(mark => mark.task));
    const state = R().state(of, past, cured, since);
    const stopped = uncleared() !== null;
    const judgement = Diagnose.roundsVerdict.judged(of, marks, past.facts, settled, stopped, today());
    const end = id => past.marks.get(id)?.end ?? "not-done";
    const isWrong = id => end(id) !== "not-fitted"
      && (overdue(of.byId[id], dates).length > 0 || (end(id) === "wrong" && !cured.has(id)));
    const wrong = state.there.filter(isWrong);
    const left = of.order.filter(id => state.there.includes(id)
      && (end(id) === "not-done" || cured.has(id) || past.marks.get(id).ofDate));
    return {
      read: past, cured, state, left, told: Diagnose.roundsVerdict.told(of, judgement, today()), judgement,
      next: R().next(of, past, state.open, host.now()), minutes: minutesOf(left),
      buy: [...new Set(wrong.flatMap(id => of.byId[id].buy))], calls: calls(wrong),
    };
  }

  // What was fine before its date was over is wrong by the date alone.
  function asTheDatesStand(past, dates) {
    for (const [id, mark] of past.marks) {
      if (mark.end === "fine" && overdue(of.byId[id], dates).length) {
        past.marks.set(id, { ...mark, end: "wrong", ofDate: true });
      }
    }
  }

  // Work, and getting there each time the place changes.
  function minutesOf(ids) {
    const { places } = Diagnose.data.common;
    return ids.reduce((sum, id, at) => {
      const task = of.byId[id];
      const there = at > 0 && of.byId[ids[at - 1]].at === task.at;
      return sum + task.minutes + (there ? 0 : places[task.at].access);
    }, 0);
  }

  function calls(wrong) {
    const found = new Map();
    for (const id of wrong.filter(each => Object.hasOwn(Diagnose.data.common.referrals, of.byId[each].refer ?? ""))) {
      found.set(of.byId[id].refer, [...(found.get(of.byId[id].refer) ?? []), id]);
    }
    return [...found].map(([id, tasks]) => ({ to: Diagnose.data.common.referrals[id], tasks }));
  }

  // Keeping --------------------------------------------------------------------------------------------------

  // Adds a line; false where another window has gone on with the round, which is then said.
  function note(noted, subject, answer = null, more = {}) {
    kept.lines = [...kept.lines, { time: time(), noted, subject, answer, ...more }];
    return keep();
  }

  function keep() {
    kept.changed = time();
    if (keeping.put(kept)) {
      return true;
    }
    elsewhere();
    return false;
  }

  function elsewhere() {
    const { id } = kept;
    const newest = keeping.rounds().find(each => each.id === id);
    const { button } = Diagnose.dom;
    layout().show({
      heading: ELSEWHERE, about: of.title, back: host.start,
      answers: [
        newest ? button("Go on here", () => resume(id), { manner: "answer" }) : null,
        button("To the start", host.start, { manner: "answer unsure" }),
      ],
    });
  }

  function onOtherWindow() {
    const newest = kept && keeping.rounds().find(each => each.id === kept.id);
    if (newest && newest.revision !== kept.revision) {
      elsewhere();
    } else if (kept && kept.stage !== "stopped" && uncleared() !== null) {
      overviewOrStop();
    }
  }

  // Danger ---------------------------------------------------------------------------------------------------

  // The referral of the latest danger on any round, unless somebody said later that it was cleared.
  function stoppedBy(walks) {
    const lines = (keeping ? keeping.rounds() : []).flatMap(each => each.lines);
    const dangers = lines.filter(line => line.noted === "danger").sort((a, b) => b.time.localeCompare(a.time));
    const cleared = [...lines, ...walks.flatMap(walk => walk.journal)]
      .filter(line => [line.noted, line.kind].includes("cleared") && line.answer === "yes");
    return dangers.length && !cleared.some(line => line.time > dangers[0].time) ? dangers[0].answer ?? "workshop" : null;
  }

  // What stops this round: danger on a round, or on a walk that was not cleared there or since on this round.
  function uncleared() {
    const onRounds = stoppedBy(host.walks());
    if (onRounds !== null) {
      return onRounds;
    }
    const stops = host.walks().filter(walk => walk.state === "stopped").map(walk => walk.changed);
    const cleared = kept.lines.some(line =>
      line.noted === "cleared" && line.answer === "yes" && stops.every(stop => line.time > stop));
    return cleared ? null : host.stopOfWalks();
  }

  function danger() {
    const task = of.byId[shown] ?? null;
    const ids = R().dangerReferrals(task);
    kept.stage = "stopped";
    kept.closed = false;
    note("danger", task?.id ?? "", ids[0]);
    stop(ids, false);
  }

  function stop(ids, onlyUncleared) {
    const setting = host.setting();
    const { referrals: known } = Diagnose.data.common;
    const there = ids.filter(id => Object.hasOwn(known, id)).map(id => known[id]);
    const referrals = there.length ? there : [known.workshop];
    layout().show(Diagnose.result.screen({
      ...Diagnose.engine.dangerNow(setting), symptom: of.title, referrals,
      because: onlyUncleared ? Diagnose.words.uncleared : Diagnose.words.danger,
      first: Diagnose.stops.firstWords(referrals, setting.numbers, onlyUncleared),
    }, { start: closeStop }));
  }

  // A stop that was read is not shown again by itself.
  function closeStop() {
    if (kept.stage === "stopped") {
      kept.closed = true;
      keeping.put(kept);
    }
    host.start();
  }

  // Whether the page was closed on a stop: then that is what it opens with.
  function takeStop(sinceWhen = "") {
    const last = keeping?.rounds()[0];
    if (!last || last.stage !== "stopped" || last.closed || last.changed < sinceWhen || R().round(last.round) === null) {
      return false;
    }
    take(last);
    const told = read().live.filter(line => line.noted === "danger").pop();
    stop(R().dangerReferrals(of.byId[told?.subject] ?? null), false);
    return true;
  }

  function askCleared(referral) {
    const answer = given => {
      if (given !== "yes") {
        if (note("cleared", "", "no")) {
          stop([referral], true);
        }
        return;
      }
      kept.stage = "open";
      if (note("cleared", "", "yes")) {
        overviewOrStop();
      }
    };
    layout().show(Diagnose.questions.screen(
      { ...asked(CLEARED), kind: "cleared-question", choices: YES_OR_NO }, { answer, back: host.start },
    ));
  }

  // The screens ----------------------------------------------------------------------------------------------

  const asked = (ask, how = "") => ({
    symptom: Diagnose.roundsRecord.heading(of, kept.vehicle), ask, how, cautions: [], notices: [], ranking: [],
    effort: NOTHING, where: { place: "" }, needs: [], measures: null, starts: false, askFirst: false, again: false,
  });

  function doing(more) {
    const setting = host.setting();
    return {
      vehicle: kept.vehicle, been, notices, ownNumbers: setting.ownNumbers, register: setting.register,
      numbers: setting.numbers.join(" or "), undo: undoing(), leaveOff, next, result, ...more,
    };
  }

  function overviewOrStop() {
    const referral = uncleared();
    if (referral !== null) {
      shown = "";
      askCleared(referral);
    } else {
      overview();
    }
  }

  function overview() {
    shown = "";
    layout().show(S().overview(of, standing(), doing({ back: leaveOff, task: show })));
  }

  function next() {
    const id = standing().next;
    if (id === null) {
      result();
    } else {
      show(id);
    }
  }

  // A task: first what has to be known of the vehicle, then what could hurt, then the task itself.
  function show(id) {
    if (uncleared() !== null) {
      overviewOrStop();
      return;
    }
    shown = id;
    const task = of.byId[id];
    const now = standing();
    const fact = R().toAsk(task, now.read.facts);
    if (fact) {
      askFact(fact, task);
      return;
    }
    const cautions = R().cautions(task);
    if (cautions.some(each => !cautioned.has(each.id))) {
      const fresh = cautions.filter(each => !cautioned.has(each.id));
      const seen = () => {
        fresh.forEach(each => cautioned.add(each.id));
        show(id);
      };
      layout().show(S().mind(of, fresh, doing({ back: overview, read: seen })));
      return;
    }
    layout().show(S().task(of, task, about(task, now, cautions), doing({ back: overview, mark: end => mark(task, end) })));
  }

  function about(task, now, cautions) {
    const { facts, places } = Diagnose.data.common;
    const unknown = Object.keys(task.appliesTo).filter(fact => now.read.facts[fact] === "not-sure");
    const whereabouts = Diagnose.data.vehicle?.where[task.part] ?? "";
    const { there } = now.state;
    const order = of.order.filter(id => there.includes(id));
    return {
      number: order.indexOf(task.id) + 1, count: there.length, cautions,
      wants: task.wants.filter(want => Object.hasOwn(of.wants, want)).map(want => of.wants[want]),
      still: R().still(of, now.read, task.id, host.now()),
      overdue: overdue(task, Diagnose.roundsVerdict.dates(today())),
      kept: unknown.filter(fact => facts[fact].answers.some(each => !task.appliesTo[fact].includes(each.id)))
        .map(fact => facts[fact].ask),
      again: now.cured.has(task.id) ? S().whyAgain(now.read.marks.get(task.id)) : null, before: now.read.marks.get(task.id)?.end ?? null,
      where: { place: places[task.at].says, part: task.part ?? "", whereabouts },
    };
  }

  function askFact(fact, task) {
    const view = {
      ...asked(fact.ask, fact.how), kind: "question", choices: fact.answers,
      notices: [`Asked once, of the vehicle. Whether this is for you hangs on it: ${Diagnose.figures.inside(task.what)}.`],
    };
    const answer = given => {
      if (note("fact", fact.id, given)) {
        (R().isThere(task, read().facts) ? () => show(task.id) : next)();
      }
    };
    layout().show(Diagnose.questions.screen(view, {
      answer, notSure: () => answer("not-sure"), back: overview, leaveOff, been,
    }));
  }

  function mark(task, given) {
    const late = overdue(task, Diagnose.roundsVerdict.dates(today()));
    const ofDate = given === "fine" && late.length > 0;
    const end = ofDate ? "wrong" : given;
    if (!note("mark", task.id, end, ofDate ? { ofDate } : {})) {
      return;
    }
    been.add(Diagnose.data.common.places[task.at].says);
    notices = [];
    if (end === "wrong") {
      wrong(task);
    } else {
      next();
    }
  }

  function wrong(task) {
    const trees = task.opens.map(id => Diagnose.data.trees.find(tree => tree.id === id)).filter(Boolean);
    const to = Diagnose.data.common.referrals[task.refer] ?? null;
    layout().show(S().wrong(of, task, trees, to, doing({ back: overview, goOn: next, walk: id => walk(task, id) })));
  }

  // The walk of what is wrong: what is known of the vehicle comes along, no danger question ever.
  function walk(task, id) {
    const tree = Diagnose.tree(id);
    const { facts } = read();
    const used = Object.keys(facts).filter(fact => (Object.hasOwn(tree.checks, fact) || Object.hasOwn(tree.appliesTo, fact))
      && !tree.askFirst.includes(fact) && !tree.ahead.some(each => each.check === fact) && facts[fact] !== "not-sure");
    const origin = { round: kept.id, task: task.id };
    host.walk(id, used.map(fact => ({ check: fact, answer: facts[fact] })), origin);
  }

  // The latest mark or fact of this sitting, to be taken back.
  function undoing() {
    const last = read().live.pop();
    if (!last || last.number <= since || !["mark", "fact"].includes(last.noted)) {
      return null;
    }
    const says = last.noted === "mark"
      ? `Take back: ${Diagnose.figures.inside(of.byId[last.subject]?.what ?? last.subject)}`
      : "Take back what was answered of the vehicle";
    return { says, act: () => note("back", String(last.number)) && overview() };
  }

  function result() {
    shown = "";
    const record = () => {
      const text = Diagnose.roundsRecord.text(of, kept.vehicle, standing(), today());
      layout().show(S().record(of, text, doing({ back: result })));
    };
    const marks = () => layout().show(S().marks(of, Diagnose.roundsRecord.marks(of, read()), doing({ back: result })));
    layout().show(S().result(of, standing(), doing({ back: overview, record, marks, end: leaveOff })));
  }

  // Put aside, or ended where nothing is left; a round on which nothing was answered yet is not kept.
  function leaveOff() {
    if (kept.lines.length) {
      kept.stage = standing().left.length ? "left-off" : "ended";
      if (!keep()) {
        return;
      }
    }
    host.start();
  }

  return Object.freeze({
    open, entries, waiting, begin, resume, active, leave, danger, takeStop, stoppedBy,
  });
})();
