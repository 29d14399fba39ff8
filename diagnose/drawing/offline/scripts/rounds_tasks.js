"use strict";

/**
 * A round from task to task: what is shown next, what a mark leads to, and what a wrong one opens. Keeping is left to
 * rounds_run.js, what a screen looks like to rounds_screens.js.
 *
 * `hand` is the round in hand, as there; `run` is {host, note(noted, subject, answer, more), standing(), ifStopped(),
 * leaveOff(), inTime(minutes), code(back), before()}.
 */
Diagnose.roundsTasks = (() => {
  const layout = () => Diagnose.layout;
  const R = () => Diagnose.roundsReading;
  const S = () => Diagnose.roundsScreens;
  const NOTHING = { minutes: 0, wait: 0, price: 0 };

  // A question of a round, in the manner of those of walks.
  const asked = (hand, ask, how = "") => ({
    symptom: Diagnose.roundsRecord.heading(hand.of, hand.kept.vehicle), ask, how, cautions: [], notices: [], ranking: [],
    effort: NOTHING, where: { place: "" }, needs: [], measures: null, starts: false, askFirst: false, again: false,
  });

  function open(hand, run) {
    const { host, note, standing, leaveOff, code } = run;
    const today = () => Diagnose.setting.dayOf(host.now());
    const read = () => Diagnose.roundsStanding.read(hand);
    const late = task => Diagnose.roundsStanding.overdue(task, Diagnose.roundsVerdict.dates(today()));

    function doing(more) {
      const setting = host.setting();
      return {
        vehicle: hand.kept.vehicle, been: hand.been, notices: hand.notices, ownNumbers: setting.ownNumbers,
        register: setting.register, numbers: setting.numbers.join(" or "), undo: undoing(), leaveOff, next, result, ...more,
      };
    }

    function overview() {
      hand.shown = "";
      const now = standing();
      // How little time there is, is asked before anything is marked: what is left then was not reckoned anew.
      const { inTime } = run;
      const more = {
        back: leaveOff, task: show, inTime, fresh: !now.read.marks.size, before: run.before(),
      };
      layout().show(S().overview(hand.of, now, doing(more)));
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
      if (run.ifStopped()) {
        return;
      }
      const { of } = hand;
      hand.shown = id;
      const task = of.byId[id];
      const now = standing();
      const fact = R().toAsk(task, now.read.facts);
      if (fact) {
        askFact(fact, task);
        return;
      }
      const cautions = R().cautions(task);
      const fresh = cautions.filter(each => !hand.cautioned.has(each.id));
      if (fresh.length) {
        const seen = () => {
          fresh.forEach(each => hand.cautioned.add(each.id));
          show(id);
        };
        layout().show(S().mind(of, fresh, doing({ back: overview, read: seen })));
        return;
      }
      const marked = end => mark(task, end);
      layout().show(S().task(of, task, about(task, now, cautions), doing({ back: overview, mark: marked })));
    }

    function about(task, now, cautions) {
      const { facts, places } = Diagnose.data.common;
      const { of } = hand;
      const unknown = Object.keys(task.appliesTo).filter(fact => now.read.facts[fact] === "not-sure");
      const { there } = now.state;
      const order = of.order.filter(id => there.includes(id)
        && (of.only === null || of.only.has(id) || now.read.marks.has(id)));
      const marked = now.read.marks.get(task.id);
      return {
        number: order.indexOf(task.id) + 1, count: order.length, cautions,
        wants: task.wants.filter(want => Object.hasOwn(of.wants, want)).map(want => of.wants[want]),
        still: R().still(of, now.read, task.id, host.now()),
        overdue: late(task),
        kept: unknown.filter(fact => facts[fact].answers.some(each => !task.appliesTo[fact].includes(each.id)))
          .map(fact => facts[fact].ask),
        again: now.cured.has(task.id) ? S().whyAgain(marked) : null, before: marked?.end ?? null,
        where: {
          place: places[task.at].says, part: task.part ?? "",
          whereabouts: Diagnose.data.vehicle?.where[task.part] ?? "",
        },
      };
    }

    function askFact(fact, task) {
      const view = {
        ...asked(hand, fact.ask, fact.how), kind: "question", choices: fact.answers,
        notices: [`Asked once, of the vehicle. Whether this is for you hangs on it: ${Diagnose.figures.inside(task.what)}.`],
      };
      const answer = given => {
        if (note("fact", fact.id, given)) {
          (R().isThere(task, read().facts) ? () => show(task.id) : next)();
        }
      };
      layout().show(Diagnose.questions.screen(view, {
        answer, notSure: () => answer("not-sure"), back: overview, leaveOff, been: hand.been,
      }));
    }

    function mark(task, given) {
      const ofDate = given === "fine" && late(task).length > 0;
      const end = ofDate ? "wrong" : given;
      if (!note("mark", task.id, end, ofDate ? { ofDate } : {})) {
        return;
      }
      hand.been.add(Diagnose.data.common.places[task.at].says);
      hand.notices = [];
      if (end === "wrong") {
        wrong(task);
      } else {
        next();
      }
    }

    function wrong(task) {
      const trees = task.opens.map(id => Diagnose.data.trees.find(tree => tree.id === id)).filter(Boolean);
      const to = Diagnose.data.common.referrals[task.refer] ?? null;
      const then = doing({ back: overview, goOn: next, walk: id => walk(task, id) });
      layout().show(S().wrong(hand.of, task, trees, to, then));
    }

    // The walk of what is wrong: what is known of the vehicle comes along, no danger question ever.
    function walk(task, id) {
      const tree = Diagnose.tree(id);
      const { facts } = read();
      const used = Object.keys(facts).filter(fact =>
        (Object.hasOwn(tree.checks, fact) || Object.hasOwn(tree.appliesTo, fact)) && !tree.askFirst.includes(fact)
        && !tree.ahead.some(each => each.check === fact) && facts[fact] !== "not-sure");
      const origin = { round: hand.kept.id, task: task.id };
      host.walk(id, used.map(fact => ({ check: fact, answer: facts[fact] })), origin);
    }

    // The latest mark or fact of this sitting, to be taken back.
    function undoing() {
      const last = read().live.pop();
      if (!last || last.number <= hand.since || !["mark", "fact"].includes(last.noted)) {
        return null;
      }
      const says = last.noted === "mark"
        ? `Take back: ${Diagnose.figures.inside(hand.of.byId[last.subject]?.what ?? last.subject)}`
        : "Take back what was answered of the vehicle";
      return { says, act: () => note("back", String(last.number)) && overview() };
    }

    function result() {
      const { of, kept } = hand;
      hand.shown = "";
      const record = () => {
        const text = Diagnose.roundsRecord.text(of, kept.vehicle, standing(), today());
        layout().show(S().record(of, text, doing({ back: result })));
      };
      const marks = () => layout().show(S().marks(of, Diagnose.roundsRecord.marks(of, read()), doing({ back: result })));
      const { inTime } = run;
      const more = { back: overview, record, marks, code: () => code(result), end: leaveOff, inTime };
      layout().show(S().result(of, standing(), doing(more)));
    }

    return Object.freeze({ overview });
  }

  return Object.freeze({ open, asked });
})();
