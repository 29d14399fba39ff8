"""A round as a list on paper, in large type with boxes to tick: PDF, HTML and plain text.

What could hurt stands first, in full; then the tasks in the order that takes the fewest minutes, under the
places where they are done. Beside each stands its id, by which what was ticked is brought back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap
from typing import Any

from diagnose.drawing.html_pages import html_page, template_text
from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.rounds.past import earlier, holding_ends
from diagnose.rounds.sitting import Sitting
from diagnose.terms import Caution, Place
from diagnose.terms.rounds import Round, Task
from diagnose.walking.views import NO_CERTIFICATE

WIDTH = 72
ENDS = ("fine", "wrong", "not done", "not fitted")
DANGER = (
    "Smell of gas, an alarm, somebody unwell, smoke, a shock: stop. Everybody out, pets too, touching no "
    "switch; call {number} from outside."
)
NOT_OURS = "Part of this round is not what comes with the program: nobody of this project has checked it."
STOPPED = "Danger stopped this vehicle, and nobody qualified has cleared it since: do none of this before."
HOW_TO = "Tick one box for each task. Anything that the text calls wrong, or that you doubt, is wrong."
BACK = "Back at the computer: write each id and its box into a file, such as {example}, then: {command}"


@dataclass(frozen=True, slots=True)
class PaperTask:
    """One task as it is printed."""

    id: str
    what: str
    how: str
    takes: str
    due: tuple[str, ...]
    first: str
    """What has to have come before."""
    unused: str


@dataclass(frozen=True, slots=True)
class PaperList:
    """Everything on the paper, as texts."""

    title: str
    says: str
    danger: str
    notices: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    """(signal word, text)"""
    places: tuple[tuple[str, tuple[PaperTask, ...]], ...]
    back: str


def on_paper(
    sitting: Sitting, order: Sequence[str], title: str, number: str, command: str, places: Mapping[str, Place]
) -> PaperList:
    """The tasks in that order; `number` is called in danger, `command` brings the marks back."""
    round = sitting.round
    tasks = [round.tasks[id] for id in order]
    cautions: dict[str, Caution] = {each.id: each for task in tasks for each in sitting.cautions_of(task)}
    grouped = [
        (places[at].says.capitalize(), tuple(_task(sitting, round, task, order) for task in some))
        for at, some in groupby(tasks, key=lambda task: task.at)
    ]
    example = f"{order[0]}: fine" if order else "w4-tyres: fine"
    return PaperList(
        title,
        round.says,
        DANGER.format(number=number),
        (*(() if sitting.stopped_by() is None else (STOPPED,)), *(() if round.shipped else (NOT_OURS,))),
        tuple((each.word, each.say) for each in sorted(cautions.values(), key=_gravity)),
        tuple(grouped),
        BACK.format(example=example, command=command),
    )


def list_pdf(paper: PaperList) -> bytes:
    """Pages of A4; the same list gives the same bytes."""
    return typeset("round_list.typ", _readable(_data(paper)))


def list_html(paper: PaperList) -> str:
    """One page of HTML that loads nothing and prints as the PDF does."""
    return html_page("round_list.html", template_text("round_list.css"), **_data(paper))


def list_text(paper: PaperList) -> str:
    """The same as plain text."""
    lines = [
        paper.title,
        "=" * len(paper.title),
        "",
        paper.says + ".",
        "",
        paper.danger,
        *paper.notices,
        "",
        HOW_TO,
    ]
    for word, say in paper.cautions:
        lines += ["", word, say]
    for place, tasks in paper.places:
        lines += ["", place, "-" * len(place)]
        for task in tasks:
            lines += ["", "  ".join(f"[ ] {end}" for end in ENDS) + f"   {task.id}", task.what + "."]
            lines += [each for each in (task.first, task.how, task.takes, *task.due, task.unused) if each]
            lines.append("Note: " + "." * 60)
    lines += ["", paper.back, "", NO_CERTIFICATE]
    return "\n".join(_wrapped(without_refused(line)) for line in lines) + "\n"


def _task(sitting: Sitting, round: Round, task: Task, order: Sequence[str]) -> PaperTask:
    takes = [f"{task.minutes:g} minutes"]
    takes += [f"then {task.wait:g} minutes of waiting"] if task.wait else []
    takes += [
        round.wants[want][:1].lower() + round.wants[want][1:] for want in task.wants if want in round.wants
    ]
    return PaperTask(
        task.id,
        task.what,
        task.how,
        "; ".join(takes).capitalize() + ".",
        sitting.overdue(task),
        _first(round, task, order),
        f"While it is wrong or not done, do not use: {task.must_not_use[:1].lower()}{task.must_not_use[1:]}."
        if task.must_not_use
        else "",
    )


def _first(round: Round, task: Task, order: Sequence[str]) -> str:
    """What has to have come before, and what of it keeps the task from being done."""
    above, right_before = earlier(round.after, task.id), round.after.get(task.id, frozenset())
    holding = {
        id: ends
        for id in order
        if id in above
        and (ends := holding_ends(round.tasks[id], task))
        and (round.tasks[id].safety or id in right_before)
    }
    if not holding:
        first = [id for id in order if id in right_before]
        return f"After {', '.join(first)}." if first else ""
    holds = "wrong or not done" if any("wrong" in ends for ends in holding.values()) else "not done"
    which = "Is it" if len(holding) == 1 else "Is one of them"
    return f"Only after {', '.join(holding)}. {which} {holds}? Then tick: not done."


def _gravity(caution: Caution) -> int:
    words = ("DANGER", "WARNING", "CAUTION", "NOTICE")
    return words.index(caution.word) if caution.word in words else len(words)


def _data(paper: PaperList) -> dict[str, Any]:
    return {
        "title": paper.title,
        "says": f"{paper.says}.",
        "danger": paper.danger,
        "notices": list(paper.notices),
        "how_to": HOW_TO,
        "cautions": [list(each) for each in paper.cautions],
        "ends": list(ENDS),
        "places": [
            [
                place,
                [
                    {
                        "id": task.id,
                        "what": f"{task.what}.",
                        "lines": [each for each in (task.first, task.how, task.takes) if each],
                        "due": list(task.due),
                        "unused": task.unused,
                    }
                    for task in tasks
                ],
            ]
            for place, tasks in paper.places
        ],
        "back": paper.back,
        "certificate": NO_CERTIFICATE,
    }


def _readable(value: Any) -> Any:
    """Every text without what turns the direction of reading, with places to break in its longest words."""
    if isinstance(value, str):
        return breakable(without_refused(value))
    if isinstance(value, list):
        return [_readable(each) for each in value]
    return {key: _readable(each) for key, each in value.items()} if isinstance(value, dict) else value


def _wrapped(line: str) -> str:
    return "\n".join(wrap(line, WIDTH)) if line else ""
