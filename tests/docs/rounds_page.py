"""The tables of the page about rounds, made from the shipped files.

`python -m tests.docs.rounds_page` prints them, to be put into docs/rounds.md.
"""

from __future__ import annotations

from diagnose.knowledge.collection import Library
from diagnose.knowledge.rounds_fields import ROUND_TABLES
from diagnose.terms.rounds import Round, Task

LIBRARY = Library()
TITLES = {"lay-up": "Lay-up", "wake-up": "Wake-up", "journey": "Journey", "hand-over": "Hand-over"}
ELSEWHERE = {"p5-this-week": "P5 of this week"}
"""Tasks whose number in the list says more than their id."""


def number_of(task: str) -> str:
    """The number that a task has in the list of the trade: `P14` for `p14-wash`."""
    return ELSEWHERE.get(task, task.split("-")[0].upper())


def tasks_table(round: Round) -> str:
    """One line for each task of a round, in its order."""
    lines = ["| no. | id | what | where | hazard | minutes | comes after |", "|---|---|---|---|---|---|---|"]
    lines += [_line(task, round) for task in round.tasks.values()]
    return "\n".join(lines) + "\n"


def _line(task: Task, round: Round) -> str:
    hazards = ", ".join(LIBRARY.common().carried(task.hazards)) or "none"
    wait = f" + {task.wait:g} of waiting" if task.wait else ""
    before = [number_of(id) for id in round.tasks if id in round.after[task.id]]
    all_others = len(before) > 5 and task.id == list(round.tasks)[-1]
    after = "all others" if all_others else ", ".join(before)
    mark = " *" if task.safety else ""
    return (
        f"| {number_of(task.id)}{mark} | `{task.id}` | {task.what} | {task.at} | {hazards} "
        f"| {task.minutes:g}{wait} | {after} |"
    )


def keys_table() -> str:
    """One line for each key that a task may have."""
    lines = ["| key | | what |", "|---|---|---|"]
    lines += [
        f"| `{line.key}` | {'required' if line.required else ''} | {line.says} |"
        for line in ROUND_TABLES["task"]
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for id, title in TITLES.items():
        print(f"### {title}\n\n{tasks_table(LIBRARY.round(id))}")
    print(keys_table())
