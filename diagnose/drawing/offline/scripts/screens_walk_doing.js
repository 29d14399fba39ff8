"use strict";

/*
 * What can be done on each screen of a walk in hand (screens_walk.js): answered while it asks, handed over at its end.
 *
 * `hand` is as there; `ways` is {host, step(operation), show(), home(), resume(kept), choose(id, carried, origin),
 * close(leave), leave()}.
 */
Diagnose.walkDoing = (() => {
  const engine = () => Diagnose.engine;
  const can = (view, command) => view.commands.includes(command);

  function open(hand, ways) {
    const { step, show, home } = ways;
    const now = () => ways.host.now();
    const back = () => step(() => engine().back(hand.tree, hand.walk.journal, now(), hand.setting));

    function asking(view) {
      const cautions = `${view.kind} ${view.check ?? view.remedy} ${JSON.stringify(view.cautions)}`;
      const on = act => (...given) => {
        const places = (Array.isArray(view.where) ? view.where : [view.where]).map(where => where?.place);
        step(() => act(...given));
        places.filter(Boolean).forEach(place => hand.been.add(place));
      };
      return {
        reread: hand.read === cautions,
        read: () => {
          hand.read = cautions;
          show();
        },
        answer: on(answer => engine().answer(hand.tree, hand.walk.journal, answer, now(), hand.setting)),
        reading: on(text => {
          const value = engine().parseReading(hand.tree.checks[view.check] ?? hand.tree.facts[view.check], text);
          return engine().reading(hand.tree, hand.walk.journal, value, null, now(), hand.setting);
        }),
        notSure: on(() => engine().notSure(hand.tree, hand.walk.journal, now(), hand.setting)),
        back: can(view, "back") ? back : home,
        leaveOff: can(view, "leaveOff")
          ? () => step(() => engine().leaveOff(hand.tree, hand.walk.journal, now(), hand.setting)) : null,
        why: can(view, "why") ? () => reasons() : null,
        been: hand.been,
      };
    }

    function reasons() {
      const reason = engine().why(hand.tree, hand.walk.journal, now(), hand.setting);
      const interval = reason.sure ? engine().intervals(hand.tree, hand.walk.journal)[reason.sure.cause] : null;
      return { reason, interval };
    }

    function ending(view) {
      const { tree, walk, setting } = hand;
      const { trouble } = ways.host.keeping;
      const firm = ["referred", "stopped"].includes(view.kind);
      const doing = {
        start: () => ways.close(ways.leave),
        round: walk.round ? () => ways.close(home) : null,
        back: can(view, "back") ? back : null,
        sheet: firm ? () => sheet(view) : null,
        code: firm ? Diagnose.code.of(tree, walk) : "",
      };
      if (view.kind === "left-off") {
        doing.resume = () => ways.resume(walk);
        doing.kept = trouble.length ? trouble[0] : "All that you found is kept on this phone.";
      }
      if (view.kind === "handed-over" && view.here) {
        const other = Diagnose.tree(view.tree);
        doing.following = other.symptom;
        const origin = walk.round ? { round: walk.round, task: walk.task } : {};
        doing.follow = () => ways.choose(view.tree, engine().carried(view, tree, other), origin);
      } else if (view.kind === "handed-over") {
        doing.referral = tree.referrals[tree.referTo];
        doing.ownNumber = setting.ownNumbers[tree.referTo] ?? "";
      }
      return doing;
    }

    function sheet(view) {
      const { button, make } = Diagnose.dom;
      const container = make("div", { class: "sheet" });
      Diagnose.layout.show({
        heading: "Hand-over sheet", about: view.symptom, manner: "paper", body: [container], back: show,
        answers: [button("Print", () => window.print(), { manner: "answer" })],
        firm: view.kind === "stopped",
      });
      Diagnose.sheet.render(container, hand.tree, hand.walk, hand.setting);
    }

    return Object.freeze({ asking, ending });
  }

  return Object.freeze({ open });
})();
