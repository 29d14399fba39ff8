"""What the lines of a round come to: marks, facts, and whether danger stands."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter

from diagnose.cases.rounds_records import RoundLine, standing_lines
from diagnose.rounds.again import only_its_date
from diagnose.rounds.presence import is_never_missing
from diagnose.terms import NOT_SURE, Finding
from diagnose.terms.rounds import TASK_ENDS, Round, Task, TaskEnd, TaskMark

MILD = frozenset({"none", "infection"})
"""Hazards of tasks that may be done although something before them is wrong."""


@dataclass(frozen=True, slots=True)
class RoundPast:
    """A round's lines, read for one version of its files."""

    marks: dict[str, TaskMark]
    """Task -> its latest mark that stands, in the order in which they were made."""
    facts: Mapping[str, str]
    """Fact -> answer, as asked on the round and as the card has it; the card wins."""
    every_mark: tuple[TaskMark, ...]
    """All marks that stand, the oldest first; also of tasks that the round has no more."""
    lines: tuple[RoundLine, ...]
    """The lines that stand."""
    seen: Mapping[str, int]
    """Task -> the number of the line that marked it last."""
    dropped: tuple[str, ...]
    """Marked tasks that the round has no more."""
    stopped_by: str | None
    """The referral by which danger stopped the round and nobody has cleared it since."""


def past_of(
    round: Round, lines: Sequence[RoundLine], card: Sequence[Finding] = (), over: Collection[str] = ()
) -> RoundPast:
    """The lines read; a task that was renamed is found by its old id.

    Of the dates in `over` none is fine: what was, before its date was over, is wrong by the date alone.
    """
    names = {old: task.id for task in round.tasks.values() for old in task.was} | {
        id: id for id in round.tasks
    }
    standing = standing_lines(tuple(lines))
    marks: dict[str, TaskMark] = {}
    every: list[TaskMark] = []
    seen: dict[str, int] = {}
    facts: dict[str, str] = {}
    dropped: list[str] = []
    stopped: str | None = None
    for line in standing:
        if line.noted == "fact":
            facts[line.subject] = line.answer or NOT_SURE
        elif line.noted == "danger":
            stopped = line.answer or "workshop"
        elif line.noted == "cleared" and line.answer == "yes":
            stopped = None
        elif line.noted == "mark":
            task = names.get(line.subject, line.subject)
            end = end_of(line)
            if end == "not-fitted" and task in round.tasks and is_never_missing(round.tasks[task]):
                end = "not-done"
            of_date = line.case is None and only_its_date(end, line.note)
            mark = TaskMark(task, end, line.time, line.who, line.note, line.case, of_date)
            every.append(mark)
            if task not in round.tasks:
                dropped.append(task)
                continue
            marks.pop(task, None)
            if end == "fine" and not set(over).isdisjoint(round.tasks[task].dates):
                mark = replace(mark, end="wrong", of_date=True)
            marks[task], seen[task] = mark, line.number
    facts |= {fact.check: fact.answer for fact in card if fact.answer}
    return RoundPast(marks, facts, tuple(every), standing, seen, tuple(dict.fromkeys(dropped)), stopped)


def end_of(line: RoundLine) -> TaskEnd:
    """The end that a mark's line holds; what nobody writes counts as not done."""
    return next((end for end in TASK_ENDS if end == line.answer), "not-done")


def held_back(
    round: Round, there: Collection[str], marks: Mapping[str, TaskMark]
) -> dict[str, tuple[str, ...]]:
    """Tasks that are not to be done now -> the tasks before them, by whatever way, for whose sake.

    A task for safety holds back whatever comes after it; another one only what comes right after it, or
    after what itself has to wait, which holds it back as well. See `holding_ends`: a gas hose that is over
    its date keeps the hob from being lit, droppings of mice do not keep the belts from being looked at, and a
    tank that was not filled keeps nobody from chocking the wheels.
    """
    found: dict[str, tuple[str, ...]] = {}
    near: dict[str, set[str]] = {}
    for id in TopologicalSorter(round.after).static_order():
        near[id] = set(round.after.get(id, ()))
        for other in round.after.get(id, ()):
            done = other in there and other not in found and not _unsettled(marks.get(other))
            near[id] |= set() if done else near[other]
        if id not in there:
            continue
        task, above = round.tasks[id], earlier(round.after, id)
        waiting = {
            each
            for other in round.after.get(id, ())
            if holding_ends(round.tasks[other], task)
            for each in found.get(other, ())
        }
        why = tuple(
            other
            for other, before in round.tasks.items()
            if other in waiting
            or (
                other in there
                and (other in near[id] or (before.safety and other in above))
                and (mark := marks.get(other)) is not None
                and mark.end in holding_ends(before, task)
            )
        )
        if why:
            found[id] = why
    return {id: found[id] for id in there if id in found}


def is_sharp(task: Task) -> bool:
    """Whether something wrong before a task holds it back."""
    return task.hands != "look" and bool(task.hazards - MILD)


def holding_ends(before: Task, task: Task) -> frozenset[TaskEnd]:
    """The ends of a task before that hold another one back: none where the order is mere sequence.

    Nothing holds back what has no hazard, and only a task for safety holds back what is for safety.
    *Not done* holds back the rest, looks as well (nobody leans into a cab that was not aired); *wrong* what
    is done with the hands under a hazard that can hurt (any but none and infection).
    """
    if not task.hazards - {"none"} or (task.safety and not before.safety):
        return frozenset()
    return frozenset({"not-done", "wrong"}) if is_sharp(task) else frozenset({"not-done"})


def _unsettled(mark: TaskMark | None) -> bool:
    return mark is not None and mark.end in ("not-done", "wrong")


def earlier(after: Mapping[str, Collection[str]], task: str) -> set[str]:
    """Everything that has to come before a task, by whatever way."""
    found: set[str] = set()
    ahead = list(after.get(task, ()))
    while ahead:
        each = ahead.pop()
        if each not in found:
            found.add(each)
            ahead += after.get(each, ())
    return found
