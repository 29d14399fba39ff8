"""A round's paper list set out in large type with boxes to tick: PDF, HTML and plain text."""

from __future__ import annotations

from textwrap import wrap
from typing import Any

from diagnose.drawing.html_pages import html_page, template_text
from diagnose.drawing.round_on_paper import ENDS, PaperList
from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.terms.rounds import GATHERED
from diagnose.walking.views import NO_CERTIFICATE

WIDTH = 72
DOTS = "." * 60
NOT_SURE = "Not sure"
HOW_TO = "Tick one box for each task. Anything that the text calls wrong, or that you doubt, is wrong."
UNTICKED = "A box that nobody ticks counts as not done."
VEHICLE = "About the vehicle"
BACK = (
    "Back at the computer, type the command. It asks for the numbers of what is wrong, not done and not "
    "fitted; the rest is fine only if you say so."
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
