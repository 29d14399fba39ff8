"""The rounds: `trees/rounds/*.yaml` from their texts to checked tasks in order, or every flaw that they have.

`tasks.yaml` holds all tasks, `wants.yaml` what they want of day, weather and vehicle, and each round has a
file that says which of the tasks it takes and what comes before what. A folder of one's own may add tasks,
replace them, and hold rounds that win over the shipped ones. The safety tasks of a shipped round stay in it
as they are, and so do what they want and the order in which it has its tasks.
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
from diagnose.knowledge.nodes import MapNode, Node, Scalar
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.knowledge.rounds_order import Order, Turn, between, judged_order, turn_of
from diagnose.knowledge.rounds_tasks import Known, read_tasks, same
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
    causes_of: Callable[[str], Collection[str] | None] = lambda _: None,
    thorough: bool = True,
) -> Mapping[RoundId, Round]:
    """The rounds of a folder, and of folders of one's own beside it, of which the later ones win.

    `trees` are the ids of the trees that a task may open, `shown` is how a path is called in messages.
    `causes_of` tells a tree's causes (None: nothing is known of them), which a task may prevent; unless
    `thorough` it is asked for no task of the shipped folder. Raises FlawedKnowledge with every flaw of all
    files.
    """
    reading = _Reading(common, trees, shown, causes_of, thorough)
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

    def same(self, other: _Draft) -> bool:
        """Whether it is the other one, word for word, in a file of its own."""
        return (self.says, list(self.order), between(self.order, self.order)) == (
            other.says, list(other.order), between(other.order, other.order),
        )  # fmt: skip


@dataclass(slots=True)
class _Reading:
    """What was read so far, folder after folder."""

    common: Common
    trees: Collection[str]
    shown: Callable[[Path], str]
    causes_of: Callable[[str], Collection[str] | None]
    thorough: bool
    wants: dict[str, str] = field(default_factory=dict)
    tasks: dict[str, Task] = field(default_factory=dict)
    own_tasks: set[str] = field(default_factory=set)
    drafts: dict[RoundId, _Draft] = field(default_factory=dict)
    safety: dict[RoundId, tuple[str, ...]] = field(default_factory=dict)
    """The safety tasks of each shipped round."""
    kept: dict[RoundId, Order] = field(default_factory=dict)
    """The order of each shipped round."""
    fixed_wants: Mapping[str, str] = field(default_factory=dict)
    """What the shipped tasks want."""
    found: list[Flaw] = field(default_factory=list)

    def take(self, folder: Path, *, shipped: bool) -> None:
        """Read a folder's files; what is wrong with them joins `found`."""
        files = {name: _read(folder / f"{name}.yaml", self.shown, needed=shipped) for name in FILES}
        self._take_wants(files[WANTS])
        self._take_tasks(files[TASKS], files[WANTS], shipped=shipped)
        for id in ROUNDS:
            self._take_round(id, files[id], shipped=shipped, sure=not files[TASKS].broken)
        if not any(file.broken for file in files.values()):
            self._unused(files[TASKS])
        if shipped:
            self.safety = {
                id: tuple(task for task in draft.order if task in self.tasks and self.tasks[task].safety)
                for id, draft in self.drafts.items()
            }
            self.kept = {id: draft.order for id, draft in self.drafts.items()}
            self.fixed_wants = dict(self.wants)
        self.found += self._strangers(folder)
        self.found += [flaw for name in FILES for flaw in files[name].flaws.sorted()]

    def built(self, id: RoundId) -> Round:
        """A round that was read without a flaw."""
        draft = self.drafts[id]
        tasks = {task: self.tasks[task] for task in draft.order}
        wanted = {want for task in tasks.values() for want in task.wants}
        wants = {want: text for want, text in self.wants.items() if want in wanted}
        shipped = draft.shipped and not self.own_tasks & tasks.keys()
        digest = _digest(draft, tasks, wants)
        return Round(id, draft.file, digest, draft.says, tasks, draft.order, wants, shipped)

    def _take_wants(self, file: _File) -> None:
        for key, node in file.pairs():
            wrong_id(key, file.flaws)
            fits(_WANT, node, key, file.flaws)
            text = node.value if isinstance(node, Scalar) else ""
            if self.fixed_wants.get(key.value, text) != text:
                said = f"{quoted(key.value)} is what shipped tasks want and stays as it is"
                file.flaws.at(key, f"{said}; give yours another id")
            self.wants[key.value] = text

    def _take_tasks(self, file: _File, wants: _File, *, shipped: bool) -> None:
        if file.root is None:
            return
        causes_of = self.causes_of if self.thorough or not shipped else lambda _: None
        known = Known(self.common, self.trees, None if wants.broken else self.wants, causes_of)
        fixed = {task: self.tasks[task] for tasks in self.safety.values() for task in tasks}
        tasks = read_tasks(file.root, known, fixed, file.flaws)
        if not shipped:
            self.own_tasks |= {
                id for id, task in tasks.items() if id not in self.tasks or not same(task, self.tasks[id])
            }
        self.tasks |= tasks

    def _take_round(self, id: RoundId, file: _File, *, shipped: bool, sure: bool) -> None:
        """One round's file; not `sure` says that the tasks could not be read, so nothing is said of any."""
        if file.root is None:
            return
        flaws = file.flaws
        filled = fill("round", file.root, file.root, "round", flaws)
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
        order = judged_order(turns, self.kept.get(id, {}), flaws)
        draft, before = _Draft(flaws.file, filled.text("says"), order, shipped), self.drafts.get(id)
        if before is None or not draft.same(before):
            self.drafts[id] = draft

    def _unused(self, tasks: _File) -> None:
        used = {task for draft in self.drafts.values() for task in draft.order}
        for key, _ in tasks.pairs():
            if key.value not in used:
                tasks.flaws.at(key, f"task {quoted(key.value)} is in no round")

    def _strangers(self, folder: Path) -> list[Flaw]:
        """Files of the folder that nobody reads: a name with a slip in it would else go unseen."""
        text = f"is no file of rounds; they are called {', '.join(FILES)}"
        return [
            Flaw(self.shown(path), 1, 1, f"{quoted(path.stem)} {text}", nearest(path.stem, FILES))
            for path in sorted(folder.glob("*.yaml"))
            if path.stem not in FILES
        ]


@dataclass(frozen=True, slots=True)
class _File:
    """One file of a folder: its flaws, and its root mapping if it is there and can be read."""

    flaws: Flaws
    there: bool
    root: MapNode | None

    @property
    def broken(self) -> bool:
        """Whether it is there, or should be, and holds nothing that can be read."""
        return self.there and self.root is None

    def pairs(self) -> list[tuple[Scalar, Node]]:
        """What its root holds."""
        return self.root.pairs if self.root is not None else []


def _read(path: Path, shown: Callable[[Path], str], *, needed: bool) -> _File:
    """A file of a folder; one that is not there is a flaw where it is needed."""
    flaws = Flaws(shown(path))
    if not needed and not path.exists():
        return _File(flaws, False, None)
    try:
        root, found = compose(read_bytes(path, flaws.file), flaws.file)
    except FlawedKnowledge as error:
        root, found = None, error.flaws
    flaws.found.extend(found)
    return _File(flaws, True, root)


_WANT = Field("want", "text", "what is wanted, in words")


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
    """A task without the place where it stands, and without what it prevents: nobody does it otherwise."""
    apart = ("mark", "prevents", "gathered")
    held = {name: getattr(task, name) for name in Task.__slots__ if name not in apart}
    held["hazards"] = sorted(task.hazards)
    held["applies_to"] = {fact: sorted(answers) for fact, answers in task.applies_to.items()}
    return held
