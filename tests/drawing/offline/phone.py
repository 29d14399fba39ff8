"""Walks taken twice: by the walking room, and by the page's scripts in a browser.

The walking room plans anew where a walk leaves its route; the page cannot. So here the room is given a
planner that does what the page promises to do: it follows the compiled route by the band that holds a
reading, and where the rules do not allow the step to which that leads, it goes to the referral that costs
least. Everything else is the room as it is.
"""

from __future__ import annotations

import json
import random
import re
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date

from diagnose.cases.records import CaseRecord
from diagnose.drawing.offline.data import Page
from diagnose.drawing.offline.page import offline_page
from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.closing import ending_costs
from diagnose.reasoning.fitting import Doubts
from diagnose.reasoning.ranking import ranking
from diagnose.reasoning.states import state_of
from diagnose.terms import Step
from diagnose.walking.calling import whom_to_call
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reasoner import RoomReasoner
from diagnose.walking.scene import Setting
from diagnose.walking.views import End, LeftOff, Question, RemedyOffered, Stopped, Unsure
from diagnose.walking.walk import Walk
from tests.trees.shipped import COMMON, model_of, route_of, tree_of
from tests.walking.small_trees import HandClock

MADE = date(2026, 11, 29)
KINDS = {
    "Question": "question",
    "Unsure": "unsure",
    "RemedyOffered": "remedy",
    "CuredQuestion": "cured-question",
    "ClearedQuestion": "cleared-question",
    "Cured": "cured",
    "Referred": "referred",
    "Stopped": "stopped",
    "LeftOff": "left-off",
    "NotForThis": "not-for-this",
    "HandedOver": "handed-over",
}


def page_of(ids, **about):
    """The page of some shipped trees."""
    walks = tuple((model_of(id), route_of(id)) for id in ids)
    return offline_page(Page(COMMON, walks, MADE, **about))


class FollowingTheRoute(RoomReasoner):
    """Reckons as the room does, and follows the route where the room would plan anew."""

    def __init__(self, id):
        super().__init__(tree_of(id))
        self._model, self._route = model_of(id), route_of(id)

    def ranking(self, situation):
        return ranking(self.model, situation, draws=1)

    def next_step(self, situation, starts=0, restored=False):
        step = followed(self._route, situation)
        if step in allowed_steps(self._model_without(restored), situation, starts):
            return step
        costs = ending_costs(self.model, state_of(self.model, situation, starts))[0, : self.model.referrals]
        return self.model.endings[int(costs.argmin())].step

    def doubts(self, situation):
        return Doubts()

    def asked_again_after(self, situation, remedy):
        return ()


def followed(route, situation):
    """The step at which the route stands once the findings are followed, a reading by its band."""
    node = route.nodes[route.start]
    while True:
        if node.kind == "check" and node.of in situation.findings:
            answer = situation.findings[node.of].answer
        elif node.kind == "remedy" and node.of in situation.tried:
            answer = situation.tried[node.of]
        else:
            return Step(node.kind, node.of)
        node = route.nodes[node.edges[answer].to]


@dataclass
class TakenTwice:
    """One walk at random: what was done, and what the room showed before each and at the end."""

    id: str
    chance: random.Random
    country: str | None = None
    facts: tuple = ()
    done: list = field(default_factory=list)
    shown: list = field(default_factory=list)

    def __post_init__(self):
        self.clock, self.journal = HandClock(), MemoryJournal()
        calling = whom_to_call(COMMON.countries, type("S", (), {"country": self.country})())
        self.setting = Setting(numbers=calling.numbers, register=calling.register, units=calling.units)
        self.reasoner = FollowingTheRoute(self.id)
        about = {"route": route_of(self.id), "setting": self.setting, "facts": self.facts}
        self.walk = Walk.begin(tree_of(self.id), self.reasoner, self.journal, self.clock, **about)

    def to_the_end(self, most=70):
        """Goes on at random until an end that is kept."""
        for _ in range(most):
            view = self.walk.view()
            self.shown.append((view, self.walk.situation))
            if isinstance(view, Stopped):
                break
            operation = self.picked(view)
            if operation is None:
                break
            seconds = self.chance.choice([10] * 40 + [31 * 60])
            self.clock.move(seconds=seconds)
            self.done.append([int(self.clock.now.timestamp() * 1000), *operation])
            self.do(*operation)
        else:
            self.shown.append((self.walk.view(), self.walk.situation))
        return self

    def picked(self, view):
        """What is done next; None where the walk is left at its end."""
        roll = self.chance.random()
        if isinstance(view, LeftOff):
            return ["resume"]
        if isinstance(view, End):
            return ["back"] if roll < 0.2 and view.can_go_back else None
        if roll < 0.01:
            return ["danger"]
        if roll < 0.03:
            return ["leaveOff"]
        if roll < 0.09 and view.can_go_back:
            return ["back"]
        if isinstance(view, Question | Unsure):
            return self.answer(view)
        if isinstance(view, RemedyOffered):
            return ["answer", self.chance.choices(["cured", "not-cured", "could-not"], [1, 6, 1])[0]]
        return ["answer", self.chance.choice(["yes", "no", "no"])]

    def answer(self, view):
        check = tree_of(self.id).checks.get(view.check) or COMMON.facts[view.check]
        if view.measures is not None and self.chance.random() < 0.8:
            low, high = view.measures.low, view.measures.high
            doubt = self.chance.choice([None, None, (high - low) / 9])
            return ["reading", round(self.chance.uniform(low, high), 2), doubt]
        if self.chance.random() < (0.02 if check.id in tree_of(self.id).ask_first else 0.15):
            return ["notSure"]
        answers = [choice.id for choice in view.choices]
        weights = [0.02 if answer in check.stop_on else 1 for answer in answers]
        if view.check in tree_of(self.id).applies_to:
            weights = [12 if id in tree_of(self.id).applies_to[view.check] else 1 for id in answers]
        return ["answer", self.chance.choices(answers, weights)[0]]

    def do(self, operation, *given):
        if operation == "resume":
            record = CaseRecord(
                1, self.id, tree_of(self.id).digest, "owner", "left-off", self.clock(), self.clock(),
                entries=tuple(self.journal.lines),
            )  # fmt: skip
            about = {"route": route_of(self.id), "setting": self.setting, "facts": self.facts}
            self.walk = Walk.resume(self.walk.tree, self.reasoner, self.journal, self.clock, record, **about)
            return
        names = {"notSure": "not_sure", "leaveOff": "leave_off"}
        getattr(self.walk, names.get(operation, operation))(*given)


REPLAY = """
const [walks, done] = [JSON.parse(arguments[0]), arguments[arguments.length - 1]];
const E = Diagnose.engine;
const bare = (key, value) => (key === 'commands' ? undefined : value);
done(JSON.stringify(walks.map(({ id, begun, operations }) => {
  const tree = Diagnose.tree(id);
  const setting = E.setting(Diagnose.data, tree, [], begun, null);
  let journal = E.begin(tree, begun, setting);
  const shown = [E.view(tree, journal, begun, setting)];
  for (const [now, name, ...given] of operations) {
    journal = E[name](tree, journal, ...given, now, setting);
    shown.push(E.view(tree, journal, now, setting));
  }
  return shown;
}), bare));
"""


def in_the_page(browser, taken):
    """The views of the page for walks that the room has taken, all in one call."""
    began = int(HandClock().now.timestamp() * 1000)
    walks = [{"id": each.id, "begun": began, "operations": each.done} for each in taken]
    browser.set_script_timeout(100)
    return json.loads(browser.execute_async_script(REPLAY, json.dumps(walks)))


PASSED_OVER = {"case", "fixed", "ranking", "notices", "low", "high"}


def as_plain(value):
    """A view as the page's script would write it: names in camel case, tuples as lists."""
    if is_dataclass(value):
        told = {
            camel(each.name): as_plain(getattr(value, each.name))
            for each in fields(value)
            if each.name not in PASSED_OVER
        }
        return told | ({"kind": KINDS[type(value).__name__]} if type(value).__name__ in KINDS else {})
    if isinstance(value, tuple | list):
        return [as_plain(each) for each in value]
    if hasattr(value, "items"):
        return {key: as_plain(each) for key, each in value.items()}
    return value


def camel(name):
    return re.sub("_(.)", lambda found: found.group(1).upper(), name)


def differences(room, page, at=""):
    """Where what the room shows is not what the page shows; the page may know more."""
    if isinstance(room, dict):
        if not isinstance(page, dict):
            return [f"{at}: {room} is {page}"]
        return [d for key, each in room.items() for d in differences(each, page.get(key), f"{at}.{key}")]
    if isinstance(room, list):
        if not isinstance(page, list) or len(room) != len(page):
            return [f"{at}: {room} is {page}"]
        pairs = enumerate(zip(room, page, strict=True))
        return [d for n, (one, other) in pairs for d in differences(one, other, f"{at}[{n}]")]
    if isinstance(room, float) and isinstance(page, int | float):
        return [] if abs(room - page) <= 1e-9 * max(1.0, abs(room)) else [f"{at}: {room} is {page}"]
    return [] if room == page else [f"{at}: {room!r} is {page!r}"]
