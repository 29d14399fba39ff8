"""The rounds: `trees/rounds/*.yaml` from their texts to checked tasks in order, or every flaw that they have.

`tasks.yaml` holds all tasks, `wants.yaml` what they want of day, weather and vehicle, and each round has a
file that says which of the tasks it takes and what comes before what. A folder of one's own may add tasks,
replace them, and hold rounds that win over the shipped ones. The safety tasks of a shipped round stay in it
as they are, and so does the order in which it has its tasks.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.knowledge.common import Common
from diagnose.knowledge.fields import Field
from diagnose.knowledge.form import Flaws, fill, fits, wrong_id
from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import MapNode, Scalar
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.knowledge.rounds_order import Order, Turn, judged_order, turn_of
from diagnose.knowledge.rounds_tasks import Known, read_tasks
from diagnose.terms import Flaw, FlawedKnowledge
from diagnose.terms.rounds import ROUNDS, Round, RoundId, Task

TASKS, WANTS = "tasks", "wants"
FILES = (TASKS, WANTS, *ROUNDS)


def load_rounds(
    common: Common,
    trees: Collection[str],
    folder: Path,
    *own: Path,
    shown: Callable[[Path], str] = str,
) -> Mapping[RoundId, Round]:
    """The rounds of a folder, and of folders of one's own beside it, of which the later ones win.

    `trees` are the ids of the trees that a task may open, `shown` is how a path is called in messages. Raises
    FlawedKnowledge with every flaw of all files.
    """
    reading = _Reading(common, trees, shown)
    for one in (folder, *own):
        reading.take(one, shipped=one is folder)
    if reading.found:
        raise FlawedKnowledge(tuple(reading.found))
    return {id: reading.built(id) for id in ROUNDS if id in reading.drafts}


@dataclass(frozen=True, slots=True)
class _Draft:
    """One round as it was read last."""

    file: str
    says: str
    order: Order
    shipped: bool


@dataclass(slots=True)
class _Reading:
    """What was read so far, folder after folder."""

    common: Common
    trees: Collection[str]
    shown: Callable[[Path], str]
    wants: dict[str, str] = field(default_factory=dict)
    tasks: dict[str, Task] = field(default_factory=dict)
    own_tasks: set[str] = field(default_factory=set)
    drafts: dict[RoundId, _Draft] = field(default_factory=dict)
    safety: dict[RoundId, tuple[str, ...]] = field(default_factory=dict)
    """The safety tasks of each shipped round."""
    found: list[Flaw] = field(default_factory=list)

    def take(self, folder: Path, *, shipped: bool) -> None:
        """Read a folder's files; what is wrong with them joins `found`."""
        flaws = {name: Flaws(self.shown(folder / f"{name}.yaml")) for name in FILES}
        roots: dict[str, MapNode | None] = {}
        for name in FILES:
            path = folder / f"{name}.yaml"
            if shipped or path.exists():
                roots[name] = _root(path, flaws[name])
        self._strangers(folder)
        wants_known = self._take_wants(roots.get(WANTS), flaws[WANTS]) if roots.get(WANTS, 1) else False
        tasks = roots.get(TASKS)
        if tasks is not None:
            known = Known(self.common, self.trees, self.wants if wants_known else None)
            fixed = {id for ids in self.safety.values() for id in ids}
            new = read_tasks(tasks, known, fixed, flaws[TASKS])
            self.tasks |= new
            if not shipped:
                self.own_tasks |= new.keys()
        sure = roots.get(TASKS, 1) is not None
        for id in ROUNDS:
            root = roots.get(id)
            if root is not None:
                self._take_round(id, root, flaws[id], shipped=shipped, sure=sure)
        if all(roots.values()) and tasks is not None:
            self._unused(tasks, flaws[TASKS])
        if shipped:
            self.safety = {
                id: tuple(task for task in draft.order if task in self.tasks and self.tasks[task].safety)
                for id, draft in self.drafts.items()
            }
        self.found += [flaw for name in FILES for flaw in flaws[name].sorted()]

    def built(self, id: RoundId) -> Round:
        """A round that was read without a flaw."""
        draft = self.drafts[id]
        tasks = {task: self.tasks[task] for task in draft.order}
        wanted = {want for task in tasks.values() for want in task.wants}
        wants = {want: text for want, text in self.wants.items() if want in wanted}
        shipped = draft.shipped and not self.own_tasks & tasks.keys()
        digest = _digest(draft, tasks, wants)
        return Round(id, draft.file, digest, draft.says, tasks, draft.order, wants, shipped)

    def _strangers(self, folder: Path) -> None:
        """Files of the folder that nobody reads: a name with a slip in it would else go unseen."""
        for path in sorted(folder.glob("*.yaml")):
            if path.stem not in FILES:
                text = f"no file of rounds is called {quoted(path.stem)}; they are {', '.join(FILES)}"
                self.found.append(Flaw(self.shown(path), 1, 1, text, nearest(path.stem, FILES)))

    def _take_wants(self, root: MapNode | None, flaws: Flaws) -> bool:
        for key, node in root.pairs if root is not None else ():
            if not wrong_id(key, flaws) and fits(_WANT, node, key, flaws) and isinstance(node, Scalar):
                self.wants[key.value] = node.value
            else:
                self.wants.setdefault(key.value, "")
        return True

    def _take_round(self, id: RoundId, root: MapNode, flaws: Flaws, *, shipped: bool, sure: bool) -> None:
        filled = fill("round", root, root, "round", flaws)
        word = filled.scalar("round")
        if word is not None and word.value != id:
            flaws.at(word, f"round is {quoted(word.value)}, and the file is called {id}.yaml; write {id}")
        turns: dict[str, Turn] = {}
        for key, node in filled.pairs("tasks"):
            if sure and key.value not in self.tasks:
                text = f"{quoted(key.value)} is no task of tasks.yaml"
                flaws.at(key, text, flaws.nearest(key.value, self.tasks))
            name = f"the place of {quoted(key.value)} in the round"
            turns[key.value] = turn_of(key, fill("turn", node, key, name, flaws, extra="task"))
        missing = [task for task in self.safety.get(id, ()) if task not in turns]
        if missing and "tasks" in filled.nodes:
            text = f"tasks lacks {', '.join(missing)}: what the shipped round has for safety stays in it"
            flaws.at(filled.key("tasks"), text)
        kept = self.drafts[id].order if id in self.drafts else {}
        order = judged_order(turns, kept, flaws)
        self.drafts[id] = _Draft(flaws.file, filled.text("says"), order, shipped)

    def _unused(self, root: MapNode, flaws: Flaws) -> None:
        used = {task for draft in self.drafts.values() for task in draft.order}
        for key, _ in root.pairs:
            if key.value not in used:
                flaws.at(key, f"task {quoted(key.value)} is in no round")


_WANT = Field("want", "text", "what is wanted, in words")


def _root(path: Path, flaws: Flaws) -> MapNode | None:
    """The root mapping of a file, None with a flaw where there is none."""
    try:
        root, found = compose(read_bytes(path, flaws.file), flaws.file)
    except FlawedKnowledge as error:
        root, found = None, error.flaws
    flaws.found.extend(found)
    return root


def _digest(draft: _Draft, tasks: Mapping[str, Task], wants: Mapping[str, str]) -> str:
    """SHA-256 in hexadecimal over what a round holds; remarks and the order of keys do not count."""
    held = {
        "says": draft.says,
        "tasks": [_plain(task) for task in tasks.values()],
        "after": {task: sorted(earlier) for task, earlier in draft.order.items()},
        "wants": dict(wants),
    }
    return hashlib.sha256(json.dumps(held, sort_keys=True).encode()).hexdigest()


def _plain(task: Task) -> dict[str, object]:
    """A task without the place where it stands."""
    held = {**{name: getattr(task, name) for name in Task.__slots__ if name != "mark"}}
    held["hazards"] = sorted(task.hazards)
    held["applies_to"] = {fact: sorted(answers) for fact, answers in task.applies_to.items()}
    return held
