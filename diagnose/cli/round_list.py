"""A round printed: where it goes, and in which form."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diagnose.cli.output import form_of, write_made, write_out
from diagnose.cli.round import ListForm
from diagnose.cli.round_at_hand import AtHand
from diagnose.rounds.book import LooseBook
from diagnose.rounds.ordering import planned
from diagnose.terminal.round_pages import title_of
from diagnose.terms import WrongUsage

ENDINGS: Mapping[str, ListForm] = {".pdf": "pdf", ".html": "html", ".htm": "html", ".txt": "txt"}


def write_list(there: AtHand, form: ListForm | None, target: Path | None) -> None:
    """Text and HTML go to standard output unless a file is named, PDF to a file named after the round."""
    from diagnose.drawing.round_list import list_html, list_pdf, list_text
    from diagnose.drawing.round_on_paper import on_paper

    wanted = form or form_of(target, ENDINGS) or "pdf"
    card = there.desk.card
    if card is not None and target is not None and target.resolve() == Path(card.file).resolve():
        raise WrongUsage(f"{target} is the card itself; write to another file")
    going = there.going(there.whole_round(), LooseBook())
    places = there.desk.trees.common().places
    done = frozenset(going.round.tasks) - going.open_tasks().keys()
    order = planned(going.round.tasks, going.round.after, places, done).order
    vehicle = there.desk.vehicle
    title = title_of(going.round.id, vehicle)
    options = there.desk.options
    if vehicle and there.desk.card is None and "--vehicle" not in options:
        options = ("--vehicle", vehicle, *options)
    paper = on_paper(going, order, title, there.desk.calling.numbers[0], vehicle, options, places)
    if wanted == "pdf":
        write_made(list_pdf(paper), target, f"{going.round.id}-list.pdf")
    else:
        write_out(list_html(paper) if wanted == "html" else list_text(paper), target)
