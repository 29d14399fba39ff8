"""An exercise as PDF, HTML and plain text: a page for the class, and one with the answers for the trainer."""

from __future__ import annotations

from io import BytesIO
from textwrap import wrap
from typing import Any

from diagnose.drawing.html_pages import html_page, template_text
from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.practising.paper import FOR_THE_TRAINER, NAMED_AT_THE_END, ROWS, TITLE, WHAT_YOU_DID, Paper

SIZES = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0)
"""Points; the largest at which both pages are one page each is taken."""
WIDTH = 78
CODE_SAYS = "Exercise"
TRAPS_TITLE = "Forbidden, whoever chooses it: say why, and mark it"
RARE = "(it misleads: seldom so with this fault)"


def exercise_pdf(paper: Paper) -> bytes:
    """Two pages of A4; more only where not even the smallest letters will do."""
    from pypdf import PdfReader

    data = _readable(_data(paper))
    made = b""
    for size in SIZES:
        made = typeset("exercise.typ", data | {"size": size})
        if len(PdfReader(BytesIO(made)).pages) <= 2:
            break
    return made


def exercise_html(paper: Paper) -> str:
    """The same as one page of HTML that prints on two; it loads nothing."""
    return html_page("exercise.html", template_text("exercise.css"), **_data(paper))


def exercise_text(paper: Paper) -> str:
    """The same as plain text, a form feed between the two pages."""
    data = _data(paper)
    lines = [data["symptom"], f"{CODE_SAYS} {data['code']}", "", *data["story"], *data["rules"]]
    for heading, items in data["offered"]:
        lines += ["", heading]
        lines += [f"{number:>4}  {says}{f' ({takes})' if takes else ''}" for number, says, takes in items]
    lines += ["", " | ".join(WHAT_YOU_DID), *["." * 60] * ROWS, NAMED_AT_THE_END, "." * 60]
    lines += [f"\f{FOR_THE_TRAINER}: {data['symptom']}", "", data["hidden"], data["figures"]]
    for heading, items in data["told"]:
        lines += ["", heading]
        for number, says, answer, rare in items:
            lines.append(f"{number:>4}  {says} - {answer}{f' {RARE}' if rare else ''}")
    if data["traps"]:
        lines += ["", TRAPS_TITLE]
    for number, *says in data["traps"]:
        lines.append(f"{number:>4}  {says[0]}. {' '.join(says[1:])}")
    return "\n".join(_wrapped(line) for line in [*lines, "", data["end"]]) + "\n"


def _data(paper: Paper) -> dict[str, Any]:
    return {
        "title": TITLE,
        "symptom": paper.symptom,
        "code": paper.code,
        "code_says": CODE_SAYS,
        "story": list(paper.story),
        "rules": list(paper.rules),
        "offered": [
            [heading, [[str(each.number), each.says, each.takes] for each in items]]
            for heading, items in paper.offered
        ],
        "did": list(WHAT_YOU_DID),
        "rows": ROWS,
        "at_the_end": NAMED_AT_THE_END,
        "for_the_trainer": FOR_THE_TRAINER,
        "hidden": f"Hidden is: {paper.fault}",
        "figures": (
            f"The best route on this vehicle: {', '.join(paper.route)}. It counts {paper.minutes:.0f} "
            f"minutes, waiting and money weighed in. Over all vehicles with this symptom it counts "
            f"{paper.expected:.0f} on average."
        ),
        "told": [
            [heading, [[str(each.number), each.says, each.answer, each.misleads] for each in items]]
            for heading, items in paper.told
        ],
        "rare": RARE,
        "traps_title": TRAPS_TITLE,
        "traps": [
            [str(number), each.says, each.because, each.can, each.instead] for number, each in paper.traps
        ],
        "end": paper.end,
    }


def _readable(value: Any) -> Any:
    """Every text without what turns the direction of reading, with places to break in its longest words."""
    if isinstance(value, str):
        return breakable(without_refused(value))
    if isinstance(value, list):
        return [_readable(each) for each in value]
    return {key: _readable(each) for key, each in value.items()} if isinstance(value, dict) else value


def _wrapped(line: str) -> str:
    """A line in as many as it needs; its only control character is a form feed of ours in front."""
    page = "\f" if line.startswith("\f") else ""
    hanging = " " * 6 if line.startswith(" ") else ""
    return page + "\n".join(wrap(without_refused(line.removeprefix("\f")), WIDTH, subsequent_indent=hanging))
