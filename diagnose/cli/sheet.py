"""`diagnose sheet`: a case on one page, for the engineer who was called."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from diagnose.cli.options import cases_option, trees_option
from diagnose.cli.output import form_of, write_made, write_out
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.card import VehicleCard
    from diagnose.knowledge.collection import Library
    from diagnose.knowledge.languages import Language
    from diagnose.terms import Tree
    from diagnose.walking.sheet_parts import Sheet

Form = Literal["pdf", "html", "text"]
ENDINGS: dict[str, Form] = {".pdf": "pdf", ".html": "html", ".htm": "html", ".txt": "text"}

HELP = """Put a case on one page for the engineer who was called.

CASE is a number from `diagnose cases list`. The page tells what was found, with readings and how far they may
be out, what was tried, what was not touched and why, and what it may be; a code by which the engineer's
answer comes back; and a square code that another machine can read. It certifies nothing.

\b
Examples:
  diagnose sheet 12                       writes sheet-12.pdf, one page of A4
  diagnose sheet 12 -o for-the-garage.html
  diagnose sheet 12 --format text
  diagnose sheet 12 --vehicle blue-van.yaml
  diagnose sheet 12 --language de
"""


@click.command(help=HELP)
@click.argument("case", type=int, metavar="CASE")
@click.option(
    "--format",
    "form",
    type=click.Choice(["pdf", "html", "text"]),
    help="What to write; else by the ending of the file, else pdf.",
)
@click.option(
    "-o",
    "target",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The file to write; else text and HTML go to standard output, a PDF to sheet-CASE.pdf here.",
)
@click.option("--language", "code", default="en", metavar="CODE", help="Such as de or fr; else English.")
@click.option(
    "--vehicle",
    metavar="CARD",
    help="The vehicle's card: what is due and what its tyres carry is told as well. [default: that of your "
    "own vehicle, if CASE is of it]",
)
@cases_option
@trees_option
def command(
    case: int,
    form: Form | None,
    target: Path | None,
    code: str,
    vehicle: str | None,
    store: str | None,
    folders: tuple[Path, ...],
) -> None:
    """Put a case on one page."""
    from diagnose.cases.refusals import NoSuchCase
    from diagnose.cli.cases.at_hand import kept_store, library_at_hand
    from diagnose.knowledge.languages import language

    wanted: Form = form or form_of(target, ENDINGS) or "pdf"
    library = library_at_hand(folders)
    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        record = kept.case(case)
        tree = _tree(record, library)
        spoken = language(code, tree)
        card = _card(record, vehicle, library)
        made = _sheet(record, tree, library, kept, spoken, card)
    if wanted == "pdf":
        from diagnose.drawing.sheet_pdf import sheet_pdf

        write_made(sheet_pdf(made, spoken), target, f"sheet-{case}.pdf")
    elif wanted == "html":
        from diagnose.drawing.sheet_html import sheet_html

        write_out(sheet_html(made, spoken), target)
    else:
        from diagnose.walking.sheet import plain_sheet

        write_out(plain_sheet(made, spoken), target)


def _tree(record: CaseRecord, library: Library) -> Tree:
    from diagnose.knowledge.collection import UnknownSymptom
    from diagnose.terms import DiagnoseError

    try:
        return library.tree(record.symptom)
    except UnknownSymptom as error:
        raise DiagnoseError(
            f'the tree "{record.symptom}" of case {record.case} is not at hand; name its folder with --trees'
        ) from error


def _card(record: CaseRecord, vehicle: str | None, library: Library) -> VehicleCard | None:
    """The card that was named, else the usual one if it is of this case's vehicle.

    Raises WrongUsage for a card of another vehicle: its dates would be taken for this one's.
    """
    from diagnose.cases.tables import key_of_vehicle
    from diagnose.cli.vehicle import card_by_default, card_named

    card = card_named(vehicle, library) if vehicle is not None else card_by_default(library)
    if card is None or key_of_vehicle(card.name) == key_of_vehicle(record.vehicle):
        return card
    if vehicle is not None and record.vehicle:
        raise WrongUsage(f'case {record.case} is of "{record.vehicle}", and this card is of "{card.name}"')
    return card if vehicle is not None else None


def _sheet(
    record: CaseRecord,
    tree: Tree,
    library: Library,
    kept: CaseStore,
    language: Language,
    card: VehicleCard | None,
) -> Sheet:
    """The sheet, ranked with what the store has learned by now."""
    from datetime import UTC, date, datetime

    from diagnose.cli.settings import read_settings
    from diagnose.rounds.card_on_sheet import card_on_sheet
    from diagnose.terminal.returning import rests_on_cases, still_missing
    from diagnose.walking.calling import whom_to_call
    from diagnose.walking.case_codes import code_of
    from diagnose.walking.past import read_past
    from diagnose.walking.reasoner import RoomReasoner, Terms
    from diagnose.walking.sheet_making import has_ranking, make_sheet

    settings = read_settings()
    past = read_past(tree, record.entries)
    facts = tuple(past.findings.values())
    calling = whom_to_call(library.common().countries, settings, facts)
    tally = kept.tally(tree.id, datetime.now(UTC), settings.half_life)
    reasoner = RoomReasoner(tree, Terms(record.role, settings, tally, frozenset(library.ids())))
    ranking = reasoner.ranking(past.situation) if has_ranking(record, past) else ()
    missing = still_missing(reasoner.returned(), language) if rests_on_cases(ranking) else ""
    return make_sheet(
        record,
        tree,
        ranking,
        language=language,
        register=calling.register,
        code=code_of(record, tree, kept.origin),
        missing=missing,
        card=card_on_sheet(card, date.today(), language) if card is not None else (),
    )
