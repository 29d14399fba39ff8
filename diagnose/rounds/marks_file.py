"""How the tasks of a round ended, from a file: what was ticked on paper or on the phone, brought back.

The file is a YAML mapping: a task's id -> how it ended, or {end, note}; under `vehicle` facts of the vehicle,
a fact's id -> its answer. It is untrusted: every flaw is told with its place, and where there is one nothing
of the file is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import read_bytes, read_mapping
from diagnose.rounds.brought import Brought, Ticked, against_the_card, answer_meant, facts_of, no_answer
from diagnose.rounds.presence import is_never_missing, is_there
from diagnose.terms import NOT_SURE, Check, Flaw, FlawedKnowledge
from diagnose.terms.rounds import TASK_ENDS, Round, TaskEnd

LONGEST_NOTE = 300
VEHICLE = "vehicle"
"""Under this key stand facts; no task can have that id."""
_KEYS = ("end", "note")


@dataclass(frozen=True, slots=True)
class Known:
    """What is known before a file is read."""

    facts: Mapping[str, str] = field(default_factory=dict)
    """Fact -> answer: those of the card, and what was told on the round before."""
    carded: Mapping[str, str] = field(default_factory=dict)
    """Those of the card alone, which nothing contradicts."""
    checks: Mapping[str, Check] = field(default_factory=dict)
    """What can be asked of a vehicle."""


def load_marks(path: Path, round: Round, known: Known) -> Brought:
    """The marks and facts of a file, in its order; raises FlawedKnowledge with every flaw of it."""
    return read_marks(read_bytes(path), str(path), round, known)


def read_marks(text: str | bytes, file: str, round: Round, known: Known) -> Brought:
    """The marks and facts in a text; raises FlawedKnowledge with every flaw of it, by place.

    A task that the vehicle cannot have, by what is known of it or by the file itself, only ends as *not
    fitted* or *not done*.
    """
    reading = _Reading(file, round, known)
    pairs = read_mapping(text, file).pairs
    for key, node in pairs:
        if key.value == VEHICLE:
            reading.vehicle(node)
    for key, node in pairs:
        if key.value != VEHICLE:
            reading.task(key, node)
    if reading.flaws:
        raise FlawedKnowledge(tuple(sorted(reading.flaws, key=lambda each: (each.line, each.column))))
    return Brought(tuple(reading.marks), reading.facts)


class _Reading:
    """One file while it is read."""

    def __init__(self, file: str, round: Round, known: Known) -> None:
        self.file, self.round, self.known = file, round, known
        self.flaws: list[Flaw] = []
        self.marks: list[Ticked] = []
        self.facts: dict[str, str] = {}
        self.names = {old: task.id for task in round.tasks.values() for old in task.was}
        self.names |= {id: id for id in round.tasks}

    def flaw(self, node: Node, told: str, meant: str = "") -> None:
        """Something is wrong here."""
        self.flaws.append(Flaw(self.file, node.line, node.column, told, meant))

    def vehicle(self, node: Node) -> None:
        """The facts."""
        if not isinstance(node, MapNode):
            self.flaw(node, f"{VEHICLE} has facts and their answers, not {what_it_is(node)}")
            return
        asked = facts_of(self.round, self.known.checks)
        for key, value in node.pairs:
            check = asked.get(key.value)
            if check is None:
                told = f"no task of the {self.round.id} round hangs on {quoted(key.value)}"
                self.flaw(key, told, nearest(key.value, asked))
                continue
            text = value.text if isinstance(value, Scalar) else None
            answer = answer_meant(check, text) if text is not None else None
            if answer is None:
                self.flaw(value, *no_answer(check, what_it_is(value), text or ""))
            elif told := against_the_card(key.value, answer, self.known.carded):
                self.flaw(value, told)
            else:
                self.facts[key.value] = answer

    def task(self, key: Scalar, node: Node) -> None:
        """How one task ended."""
        id = self.names.get(key.value)
        if id is None:
            told = f"{quoted(key.value)} is no task of the {self.round.id} round"
            self.flaw(key, told, nearest(key.value, (*self.round.tasks, VEHICLE)))
            return
        if id in (mark.task for mark in self.marks):
            self.flaw(key, f"{quoted(key.value)} is {id}, which stands here already")
        end_node, note = self._parts(node)
        if end_node is None:
            return
        word = end_node.value.strip().replace(" ", "-").casefold() if isinstance(end_node, Scalar) else ""
        end = next((end for end in TASK_ENDS if end == word), None)
        if end is None:
            known = ", ".join(TASK_ENDS)
            self.flaw(
                end_node, f"a task ends as {known}, not {what_it_is(end_node)}", nearest(word, TASK_ENDS)
            )
        elif told := not_for_this_vehicle(self.round, id, end, self.known.facts, self.facts):
            self.flaw(key, told)
        else:
            self.marks.append(Ticked(id, end, note))

    def _parts(self, node: Node) -> tuple[Node | None, str]:
        """The node of the end, and the note."""
        if not isinstance(node, MapNode):
            return node, ""
        note = ""
        for key, value in node.pairs:
            if key.value not in _KEYS:
                told = f"{quoted(key.value)} does not stand in a mark, which has end and note"
                self.flaw(key, told, nearest(key.value, _KEYS))
            elif key.value == "note":
                text = value.text if isinstance(value, Scalar) else None
                if text is None or len(text) > LONGEST_NOTE:
                    self.flaw(value, f"a note is a text of {LONGEST_NOTE} characters at most")
                else:
                    note = " ".join(text.split())
        end = node.get("end")
        if end is None:
            self.flaw(node, f"a mark has an end: {', '.join(TASK_ENDS)}")
        return end, note


def not_for_this_vehicle(
    round: Round, id: str, end: TaskEnd, known: Mapping[str, str], told: Mapping[str, str]
) -> str:
    """What is said of a mark on a task that the vehicle cannot have, or of one that none lacks; else nothing.

    `known` was known before, `told` comes with the mark.
    """
    if end == "not-fitted" and is_never_missing(round.tasks[id]):
        return f"{quoted(id)} is of something that no vehicle lacks; it ends as fine, wrong or not-done"
    sure = {fact: answer for fact, answer in told.items() if answer != NOT_SURE or fact not in known}
    if end in ("not-fitted", "not-done") or is_there(round.tasks[id], {**known, **sure}):
        return ""
    why = "its card" if not is_there(round.tasks[id], known) else "what was answered of it"
    return f"{quoted(id)} is not for this vehicle by {why}; it ends as not-fitted"
