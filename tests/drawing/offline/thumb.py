"""A thumb on the phone's page: presses what it finds by its words, and reads what stands there."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.drawing.offline.data import Page
from diagnose.drawing.offline.page import offline_page
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.shelf import route_for
from tests.trees.shipped import COMMON, EVERY_TREE, model_of, route_of, routes

HARM = '<img src=x onerror="window.harmed = 1"></script><script>window.harmed = 1</script> "&lt;" {{7*7}}'
OWN_TREE = f"""\
symptom: '{HARM} is cold'
system: body
also_said: ['{HARM} also said']
refer_to: workshop
cured_when: {{ask: '{HARM} warm now?', minutes: 2}}
faults:
  any_of:
    cold:
      says: '{HARM} is too cold'
      hazard: none
      in_100: 48
      remedy: {{do: '{HARM} warm it', how: '{HARM} slowly', by: owner, hands: look, minutes: 40, at: cab}}
      prevent: '{HARM} keep it warm'
    worn: {{says: '{HARM} is worn', hazard: none, in_100: 47, remedy: {{refer: workshop}}}}
checks:
  degrees:
    ask: 'How cold is {HARM}?'
    how: '{HARM} hold the thermometer still'
    hands: look
    by: owner
    minutes: 1
    reading: {{unit: °C, range: [-30, 45], uncertainty: 2}}
    bands: {{frost: {{below: 0}}, mild: {{from: 0}}}}
    expect: {{cold: {{frost: 0.95}}, otherwise: {{mild: 0.9}}}}
"""
"""A tree of one's own whose every text would do harm, were it ever taken for markup."""

HANDED_ON = """\
symptom: {symptom}
system: body
refer_to: workshop
cured_when: {{ask: Is it well now?}}
faults:
  any_of:
    elsewhere: {{says: Another tree knows better, hazard: none, in_100: 90, remedy: {{see: {tree}}}}}
    worn: {{says: It is worn, hazard: none, in_100: 5, remedy: {{refer: workshop}}}}
checks: {{}}
"""
"""A tree that hands over at once."""
OWN_TREES = {
    "own-fault": OWN_TREE,
    "own-here": HANDED_ON.format(symptom="Goes on here", tree="water-pump"),
    "own-gone": HANDED_ON.format(symptom="Goes on elsewhere", tree="gas-gone"),
}

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
AXE = Path(find_spec("axe_playwright_python").origin).with_name("axe.min.js")
"""The script alone: what else is in that package is not even loaded."""
JUDGED = """
    const told = node => `${node.html.slice(0, 160)} | ${node.failureSummary}`;
    const judged = async tags => {
      // At its end, where nothing that is pressed lies half under the bar.
      scrollTo(0, document.documentElement.scrollHeight);
      const found = await axe.run(document, {
        runOnly: { type: "tag", values: tags },
        rules: { "color-contrast-enhanced": { enabled: true } },
        resultTypes: ["violations"],
      });
      return found.violations.map(each => [each.id, ...each.nodes.map(told)]);
    };
"""
"""All of WCAG 2.2 at A and AA that axe-core can judge, and contrast at AAA, for a phone in sunlight."""

PRESS = """
    const [text] = arguments;
    const visible = node => node.checkVisibility();
    const named = node => node.textContent.trim() === text || node.firstElementChild?.textContent === text;
    const there = [...document.querySelectorAll("button, summary, a, label.choice")].filter(visible);
    const found = there.find(named);
    found?.click();
    return found ? null : there.map(node => node.textContent);
"""
SHOWN = """
    const shown = (view, reread) => {
      const nothing = () => {};
      const doing = Object.fromEntries(["answer", "reading", "notSure", "read", "leaveOff", "start", "sheet"]
        .map(name => [name, nothing]));
      const reason = {
        separates: ["The cylinder is empty", "Air stands in the line"],
        leads: [{ answers: ["Weak", "None"], step: { kind: "remedy", of: "air" }, says: "Air stands in it" }],
        sure: view.ranking[0] ?? null,
      };
      Object.assign(doing, {
        been: new Set(), back: view.canGoBack ? nothing : null, follow: view.here ? nothing : null,
        resume: view.kind === "left-off" ? nothing : null, following: "The gas is gone",
        referral: Diagnose.data.common.referrals.workshop, ownNumber: "", reread,
        kept: "All that you found is kept on this phone.",
        code: ["referred", "stopped"].includes(view.kind) ? "001M-WF64-60R0-6800-2466" : "",
        why: ["question", "remedy"].includes(view.kind) ? () => ({ reason, interval: [0.21, 0.5] }) : null,
      });
      const { questions, result } = Diagnose;
      Diagnose.layout.show(questions.asks(view) ? questions.screen(view, doing) : result.screen(view, doing));
    };
"""
"""Shows a view that no walk led to."""
SHOW_MANY = """
    const data = { ...Diagnose.data, trees: arguments[0] };
    Diagnose.layout.show(Diagnose.start.screen(data, Diagnose.keeping.open(""), {
      choose: () => {}, resume: () => {}, settings: () => {}, practise: () => {}, stopped: () => {},
      due: ["The gas hose was due in May 2026."], certificate: Diagnose.words.noCertificate,
    }));
"""


@cache
def page_text() -> str:
    """The page with two shipped trees and those above, made once for all tests of a process."""
    walks = [(model_of(id), route_of(id)) for id in ("heater-no-fire", "water-pump")]
    with TemporaryDirectory() as folder:
        for id, text in OWN_TREES.items():
            own = Path(folder) / f"{id}.yaml"
            own.write_text(text, encoding="utf-8")
            model = build_model(Library().tree(str(own)), other_trees=frozenset(EVERY_TREE))
            walks.append((model, route_for(model, routes())))
    return offline_page(Page(COMMON, tuple(walks), date(2026, 11, 29)))


def page_file(folder: Path) -> Path:
    """That page as a file."""
    file = folder / "page.html"
    file.write_text(page_text(), encoding="utf-8")
    return file


class Thumb:
    """One phone with the page open."""

    def __init__(self, browser, file):
        self.browser, self.file = browser, file

    def run(self, script, *given):
        return self.browser.execute_script(script, *given)

    def phone(self, width=360, height=740, scheme="light", media="screen"):
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media, "features": features})
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": True}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)

    def put_down(self):
        """The browser as it was, for whoever takes it next."""
        self.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})

    def open(self, kept=None):
        """The page as on a phone that keeps nothing of it, or just this under the page's key."""
        if self.browser.current_url != self.file.as_uri():
            self.browser.get(self.file.as_uri())
        written = kept if kept is None or isinstance(kept, str) else json.dumps(kept)
        self.run(
            "localStorage.clear();"
            "if (arguments[0] !== null) localStorage.setItem('diagnose.page', arguments[0]);",
            written,
        )
        self.browser.get(self.file.as_uri())
        return self

    def reload(self):
        self.browser.get(self.file.as_uri())

    def press(self, *texts):
        for text in texts:
            others = self.run(PRESS, text)
            assert others is None, f"{text!r} is not there, but {others}"
        return self

    def answer(self, text):
        """An answer to a question about danger: picked, then said to be right."""
        return self.press(text, "This is my answer")

    def begin(self):
        """A walk at its first question, its cautions read."""
        return self.press("The pump brings no water, or keeps cutting in", "I have read this")

    def show_many(self):
        """The first screen as it is with every shipped tree."""
        trees = [
            {
                "id": each.id,
                "symptom": each.symptom,
                "alsoSaid": each.also_said,
                "system": each.system,
                "shipped": True,
            }
            for each in Library().headings()
        ]
        self.run(SHOW_MANY, trees)

    def show(self, view, reread=False):
        self.run(f"{SHOWN} shown(...arguments);", view, reread)

    @property
    def heading(self):
        return self.run("return document.querySelector('h1').textContent")

    @property
    def text(self):
        return self.run("return document.body.innerText")

    @property
    def said(self):
        return self.run("return document.getElementById('said').textContent")

    @property
    def kept(self):
        """What the phone keeps: the walks, newest first."""
        return json.loads(self.run("return localStorage.getItem('diagnose.page')") or '{"walks": []}')[
            "walks"
        ]

    def judged(self):
        """What axe-core finds on the screen as it stands."""
        self._with_axe()
        return self.browser.execute_async_script(
            f"{JUDGED} const [tags, done] = arguments; judged(tags).then(done, e => done([[String(e)]]));",
            TAGS,
        )

    def all_judged(self, views):
        """(name, what axe-core finds, how wide it is) of each view, all that is folded up unfolded."""
        self._with_axe()
        return self.browser.execute_async_script(
            f"{JUDGED} {SHOWN}"
            """
            const [views, tags, done] = arguments;
            (async () => {
              const found = [];
              for (const [name, view] of views) {
                shown(view, name !== "cautions");
                document.querySelectorAll("details").forEach(each => { each.open = true; });
                await new Promise(soon => setTimeout(soon));
                found.push([name, await judged(tags), document.documentElement.scrollWidth]);
              }
              return found;
            })().then(done, error => done([["failed", [String(error)], 0]]));
            """,
            list(views.items()),
            TAGS,
        )

    def _with_axe(self):
        if not self.run("return typeof axe !== 'undefined'"):
            self.run(AXE.read_text(encoding="utf-8"))
