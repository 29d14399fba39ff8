"""How the tasks of a round ended, from a file: what was ticked on paper, brought back.

The file is a YAML mapping: a task's id -> how it ended, or {end, note}. It is untrusted: every flaw is told
with its place, and where there is one nothing of the file is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import read_bytes, read_mapping
from diagnose.rounds.presence import is_there
from diagnose.terms import Flaw, FlawedKnowledge
from diagnose.terms.rounds import TASK_ENDS, Round, TaskEnd
from diagnose.walking.danger_words import danger_in

LONGEST_NOTE = 300
_KEYS = ("end", "note")
_Flawed = Callable[..., None]


@dataclass(frozen=True, slots=True)
class Ticked:
    """One task as the file has it."""

    task: str
    end: TaskEnd
    note: str = ""


def load_marks(path: Path, round: Round, facts: Mapping[str, str]) -> tuple[Ticked, ...]:
    """The marks of a file, in its order; raises FlawedKnowledge with every flaw of it."""
    return read_marks(read_bytes(path), str(path), round, facts)


def read_marks(text: str | bytes, file: str, round: Round, facts: Mapping[str, str]) -> tuple[Ticked, ...]:
    """The marks in a text; raises FlawedKnowledge with every flaw of it, by place.

    `facts` are what is known of the vehicle: a task that it cannot have only ends as *not fitted*.
    """
    flaws: list[Flaw] = []
    marks: list[Ticked] = []
    names = {old: task.id for task in round.tasks.values() for old in task.was} | {
        id: id for id in round.tasks
    }

    def flaw(node: Node, told: str, meant: str = "") -> None:
        flaws.append(Flaw(file, node.line, node.column, told, meant))

    for key, node in read_mapping(text, file).pairs:
        id = names.get(key.value)
        if id is None:
            told = f"{quoted(key.value)} is no task of the {round.id} round"
            flaw(key, told, nearest(key.value, round.tasks))
            continue
        if id in (mark.task for mark in marks):
            flaw(key, f"{quoted(key.value)} is {id}, which stands here already")
        end_node, note = _parts(node, flaw)
        if end_node is None:
            continue
        word = end_node.value.strip().replace(" ", "-").casefold() if isinstance(end_node, Scalar) else ""
        end = next((end for end in TASK_ENDS if end == word), None)
        if end is None:
            known = ", ".join(TASK_ENDS)
            flaw(end_node, f"a task ends as {known}, not {what_it_is(end_node)}", nearest(word, TASK_ENDS))
        elif end not in ("not-fitted", "not-done") and not is_there(round.tasks[id], facts):
            flaw(key, f"{quoted(id)} is not for this vehicle by its card; it ends as not-fitted")
        else:
            marks.append(Ticked(id, end, note))
    if flaws:
        raise FlawedKnowledge(tuple(sorted(flaws, key=lambda each: (each.line, each.column))))
    return tuple(marks)


def dangers_in(marks: tuple[Ticked, ...]) -> tuple[Ticked, ...]:
    """Marks whose note speaks of danger, sure or not."""
    return tuple(mark for mark in marks if mark.note and danger_in(mark.note) is not None)


def _parts(node: Node, flaw: _Flawed) -> tuple[Node | None, str]:
    """The node of the end, and the note."""
    if not isinstance(node, MapNode):
        return node, ""
    note = ""
    for key, value in node.pairs:
        if key.value not in _KEYS:
            told = f"{quoted(key.value)} does not stand in a mark, which has end and note"
            flaw(key, told, nearest(key.value, _KEYS))
        elif key.value == "note":
            text = value.text if isinstance(value, Scalar) else None
            if text is None or len(text) > LONGEST_NOTE:
                flaw(value, f"a note is a text of {LONGEST_NOTE} characters at most")
            else:
                note = " ".join(text.split())
    end = node.get("end")
    if end is None:
        flaw(node, f"a mark has an end: {', '.join(TASK_ENDS)}")
    return end, note
