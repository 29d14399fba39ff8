"""Walks at random to their end by the page's own engine, and the same as the case store would hold them."""

from __future__ import annotations

from datetime import datetime

from diagnose.cases.records import CaseRecord, Entry

WALK = """
    const [id, seed, vehicle] = arguments;
    const [engine, tree] = [Diagnose.engine, Diagnose.tree(id)];
    let state = (seed + 1) * 7919;
    const chance = () => (state = (state * 48271) % 2147483647) / 2147483647;
    const pick = list => list[Math.floor(chance() * list.length)];
    const value = ({ low, high }) => Number((low + chance() * (high - low)).toPrecision(4));
    const opened = Date.UTC(2026, 2, 2, 23, 50, 30);
    let now = opened;
    const setting = engine.setting(Diagnose.data, tree, [], now, null);
    // Every other walk comes from another tree that has taken the readings of this one already.
    const measured = Object.values(tree.checks).filter(check => check.reading !== null && seed % 2);
    const carried = measured.map(check => {
      const found = value(check.reading);
      const { uncertainty } = check.reading;
      return { check: check.id, answer: Diagnose.past.bandOf(check, found), value: found, uncertainty };
    });
    let journal = engine.begin(tree, now, setting, carried);
    for (;;) {
      now += 60000;
      const view = engine.view(tree, journal, now, setting);
      if (view.state) break;
      if (view.canGoBack && chance() < 0.04) {
        journal = engine.back(tree, journal, now, setting);
      } else if (view.measures && chance() < 0.7) {
        const doubt = chance() < 0.5 ? null : 0.125;
        journal = engine.reading(tree, journal, value(view.measures), doubt, now, setting);
      } else if (view.commands.includes("notSure") && !view.askFirst && chance() < 0.06) {
        journal = engine.notSure(tree, journal, now, setting);
      } else {
        // Hardly ever danger, or another vehicle than the tree is for, so that walks get on.
        const usual = (view.askFirst || view.fact) && chance() < 0.98;
        const { id: answer } = usual ? view.choices[0] : pick(view.choices);
        journal = engine.answer(tree, journal, answer, now, setting);
      }
    }
    const walk = {
      id: `${id}-${seed}`, tree: id, digest: tree.digest, vehicle, role: Diagnose.data.role,
      opened: new Date(opened).toISOString(), changed: new Date(now).toISOString(),
      state: engine.state(tree, journal, now, setting), journal, revision: 0,
    };
"""
"""A minute an answer, across a midnight."""


def walked(browser, id, seed, then, vehicle=""):
    """`then`, an expression of JavaScript, after a walk; it may use `tree`, `walk` and `setting`."""
    return browser.execute_script(f"{WALK}\nreturn {then};", id, seed, vehicle)


def record_of(walk, case):
    """A page's walk as the store would hold it."""
    keys = ("kind", "subject", "answer", "value", "uncertainty", "ahead")
    entries = tuple(
        Entry(datetime.fromisoformat(line["time"]), *(line[key] for key in keys), number=number)
        for number, line in enumerate(walk["journal"], 1)
    )
    opened, changed = (datetime.fromisoformat(walk[each]) for each in ("opened", "changed"))
    kept = (walk["digest"], walk["role"], walk["state"], opened, changed, walk["vehicle"])
    return CaseRecord(case, walk["tree"], *kept, entries=entries)
