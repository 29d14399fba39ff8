"""A round as a list on paper, in large type with boxes to tick: PDF, HTML and plain text.

What could hurt stands first, in full; then the tasks in the order that takes the fewest minutes, under the
places where they are done. Each row has a number; the code at the end says what they stand for, and by both
what was ticked is brought back. Beside the number stand four characters and the task's id, for a list that
was printed before something of the round changed.
"""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap
from typing import Any

from diagnose.drawing.html_pages import html_page, template_text
from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.rounds.brought import facts_of
from diagnose.rounds.list_code import lettered, list_code, row_marks
from diagnose.rounds.past import earlier, holding_ends
from diagnose.rounds.presence import is_never_missing
from diagnose.rounds.sitting import Sitting
from diagnose.terms import Caution, Place
from diagnose.terms.rounds import GATHERED, Round, Task
from diagnose.walking.views import NO_CERTIFICATE

WIDTH = 72
DOTS = "." * 60
NOT_SURE = "Not sure"
ENDS = ("fine", "wrong", "not done", "not fitted")
DANGER = (
    "Smell of gas, an alarm, somebody unwell, smoke, a shock: stop. Everybody out, pets too, touching no "
    "switch; call {number} from outside."
)
NOT_OURS = "Part of this round is not what comes with the program: nobody of this project has checked it."
STOPPED = "Danger stopped this vehicle, and nobody qualified has cleared it since: do none of this before."
HOW_TO = "Tick one box for each task. Anything that the text calls wrong, or that you doubt, is wrong."
UNTICKED = "A box that nobody ticks counts as not done."
VEHICLE = "About the vehicle"
MOST_BOXES = 6
"""Of answers of a fact; with more of them the answer is written down."""
BACK = (
    "Back at the computer, type the command. It asks for the numbers of what is wrong, not done and not "
    "fitted; the rest is fine only if you say so."
)


@dataclass(frozen=True, slots=True)
class PaperTask:
    """One task as it is printed."""

    number: int
    """Of its row, from 1."""
    sign: str
    """The four characters beside it."""
    id: str
    what: str
    how: str
    takes: str
    reasons: tuple[str, ...]
    """What the fleet's cases, or the trees, say for it."""
    due: tuple[str, ...]
    first: str
    """What has to have come before."""
    unused: str
    ends: tuple[str, ...] = ENDS
    """What can be ticked: something that no vehicle lacks is never *not fitted*."""


@dataclass(frozen=True, slots=True)
class PaperFact:
    """Something that is asked of the vehicle."""

    letter: str
    ask: str
    answers: tuple[str, ...]
    """In words; none where there are too many of them for boxes."""


@dataclass(frozen=True, slots=True)
class PaperList:
    """Everything on the paper, as texts."""

    title: str
    says: str
    danger: str
    notices: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    """(signal word, text)"""
    facts: tuple[PaperFact, ...]
    places: tuple[tuple[str, tuple[PaperTask, ...]], ...]
    code: str
    command: str
    """What brings the marks back."""


def on_paper(
    sitting: Sitting,
    order: Sequence[str],
    title: str,
    number: str,
    vehicle: str,
    options: Sequence[str],
    places: Mapping[str, Place],
) -> PaperList:
    """The tasks in that order; `number` is called in danger.

    The list's code is of the vehicle that is so called; `options` are what the command that brings it back
    has to repeat.
    """
    round, common = sitting.round, sitting.common
    tasks = [round.tasks[id] for id in order]
    cautions: dict[str, Caution] = {each.id: each for task in tasks for each in sitting.cautions_of(task)}
    signs = row_marks(round)
    grouped = [
        (places[at].says.capitalize(), tuple(_task(sitting, round, task, order, signs) for task in some))
        for at, some in groupby(tasks, key=lambda task: task.at)
    ]
    asked = _asked(sitting, tasks)
    code = list_code(round, order, common.facts, vehicle, asked)
    return PaperList(
        title,
        round.says,
        DANGER.format(number=number),
        (*(() if sitting.stopped_by() is None else (STOPPED,)), *(() if round.shipped else (NOT_OURS,))),
        tuple((each.word, each.say) for each in sorted(cautions.values(), key=_gravity)),
        tuple(
            PaperFact(
                letter,
                check.ask,
                tuple(answer.says for answer in check.answers) if len(check.answers) <= MOST_BOXES else (),
            )
            for letter, check in lettered(round, common.facts, asked).items()
        ),
        tuple(grouped),
        code,
        shlex.join(["diagnose", "round", "--code", code, *options]),
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
        f"{HOW_TO} {UNTICKED}",
    ]
    for word, say in paper.cautions:
        lines += ["", word, say]
    if paper.facts:
        lines += ["", VEHICLE, "-" * len(VEHICLE)]
    for fact in paper.facts:
        lines += ["", f"{fact.letter}  {fact.ask}"]
        lines.append("  ".join(f"[ ] {each}" for each in (*fact.answers, NOT_SURE)) if fact.answers else DOTS)
    for place, tasks in paper.places:
        lines += ["", place, "-" * len(place)]
        for task in tasks:
            boxes = "  ".join(f"[ ] {end}" if end in task.ends else " " * len(f"[ ] {end}") for end in ENDS)
            lines += ["", f"{task.number:>2}  {boxes}   {task.sign}", f"{task.what}. ({task.id})"]
            lines += [
                each
                for each in (task.first, task.how, task.takes, *task.reasons, *task.due, task.unused)
                if each
            ]
            lines.append(f"Note: {DOTS}")
    lines += ["", BACK, "", paper.command, "", NO_CERTIFICATE]
    # A command is typed as it stands, so it is not broken.
    texts = (line if line == paper.command else _wrapped(line) for line in map(without_refused, lines))
    return "\n".join(texts) + "\n"


def _asked(sitting: Sitting, tasks: Sequence[Task]) -> tuple[str, ...]:
    """The facts that nobody has answered yet and that decide whether a task of the list is there."""
    checks = facts_of(sitting.round, sitting.common.facts)
    known = sitting.past.facts
    return tuple(
        id
        for id, check in checks.items()
        if id not in known
        and any(
            not task.applies_to.get(id, frozenset()).issuperset(check.answer_ids())
            for task in tasks
            if id in task.applies_to
        )
    )


def _task(
    sitting: Sitting, round: Round, task: Task, order: Sequence[str], signs: Mapping[str, str]
) -> PaperTask:
    takes = [f"{task.minutes:g} minutes"]
    takes += [f"then {task.wait:g} minutes of waiting"] if task.wait else []
    takes += [
        round.wants[want][:1].lower() + round.wants[want][1:] for want in task.wants if want in round.wants
    ]
    return PaperTask(
        order.index(task.id) + 1,
        signs[task.id],
        task.id,
        task.what,
        task.how,
        "; ".join(takes) + ".",
        tuple(sitting.reasons.get(task.id, ())),
        sitting.overdue(task),
        _first(round, task, order),
        f"While it is wrong or not done, do not use: {task.must_not_use[:1].lower()}{task.must_not_use[1:]}."
        if task.must_not_use
        else "",
        ENDS[:-1] if is_never_missing(task) else ENDS,
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
        return f"After {_rows(first, order)}." if first else ""
    holds = "wrong or not done" if any("wrong" in ends for ends in holding.values()) else "not done"
    which = "Is it" if len(holding) == 1 else "Is one of them"
    return f"Only after {_rows(tuple(holding), order)}. {which} {holds}? Then tick: not done."


def _rows(ids: Sequence[str], order: Sequence[str]) -> str:
    numbers = [str(order.index(id) + 1) for id in ids]
    return f"row {numbers[0]}" if len(numbers) == 1 else f"rows {', '.join(numbers)}"


def _gravity(caution: Caution) -> int:
    words = ("DANGER", "WARNING", "CAUTION", "NOTICE")
    return words.index(caution.word) if caution.word in words else len(words)


def _data(paper: PaperList) -> dict[str, Any]:
    return {
        "title": paper.title,
        "says": f"{paper.says}.",
        "danger": paper.danger,
        "notices": list(paper.notices),
        "how_to": f"{HOW_TO} {UNTICKED}",
        "vehicle": VEHICLE if paper.facts else "",
        "facts": [
            [fact.letter, fact.ask, [*fact.answers, NOT_SURE] if fact.answers else []] for fact in paper.facts
        ],
        "cautions": [list(each) for each in paper.cautions],
        "places": [
            [
                place,
                [
                    {
                        "number": str(task.number),
                        "ends": list(task.ends),
                        "sign": task.sign,
                        # A long one would push the boxes aside; the sign names the row as well.
                        "id": "" if task.id.startswith(GATHERED) else task.id,
                        "what": f"{task.what}.",
                        "lines": [each for each in (task.first, task.how, task.takes, *task.reasons) if each],
                        "due": list(task.due),
                        "unused": task.unused,
                    }
                    for task in tasks
                ],
            ]
            for place, tasks in paper.places
        ],
        "back": BACK,
        "command": paper.command,
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
