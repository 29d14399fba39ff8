"""`diagnose cases trends`: what comes back, what grows more frequent, and what would prevent it."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.at_hand import folders_at_hand, kept_store, label_at_hand, tree_at_hand
from diagnose.cli.cases.score import write_page
from diagnose.cli.dates import any_day, start_of
from diagnose.cli.options import cases_option, check_html, html_options, json_option, trees_option
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.reviewing.trends_told import Trends

WITHIN_MONTHS = 12
"""For so many months a cause is watched for coming back, unless another number is asked for."""

HELP = """Show what comes back, and what would have prevented most work.

Confirmed cases are counted: in which vehicles a cause came back after it was put right, which vehicles have
more than their share, what grows more or less frequent over the years, when in the year and after how long a
lay-up it comes, and which prevention would have saved most. Each figure has its interval; what is said to
stand out does so after allowing for how much is compared.

--html writes the page of `diagnose cases score` on the same cases; with --vehicle or --until it has the
trends alone.

\b
Examples:
  diagnose cases trends
  diagnose cases trends --symptom heater-no-fire --since 2024-01-01
  diagnose cases trends --vehicle "van 7"
  diagnose cases trends --html -o trends.html
"""


@click.command(help=HELP)
@click.option(
    "--symptom", metavar="ID", help="Only of this symptom: its id, or its words just as they stand."
)
@click.option("--vehicle", "label", metavar="CARD or LABEL", help="Only of this vehicle, in any capitals.")
@click.option("--since", type=any_day, metavar="DATE", help="Only opened on this day or later.")
@click.option("--until", type=any_day, metavar="DATE", help="Only opened on this day or earlier.")
@click.option(
    "--within",
    "months",
    type=click.IntRange(1, 120),
    default=WITHIN_MONTHS,
    show_default=True,
    metavar="MONTHS",
    help="For so many months after it was put right a cause is watched for coming back.",
)
@html_options("bars")
@cases_option
@trees_option
@json_option
def command(
    symptom: str | None,
    label: str | None,
    since: date | None,
    until: date | None,
    months: int,
    as_html: bool,
    target: Path | None,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Show trends."""
    check_html(as_html, target, as_json)
    if since is not None and until is not None and since > until:
        raise WrongUsage(f"--since {since} is later than --until {until}")
    found = trends_at_hand(symptom, label, since, until, months, store, folders)
    if as_json:
        from diagnose.reviewing.trends_document import as_document

        click.echo(json.dumps(as_document(found), ensure_ascii=False, indent=2))
    elif as_html:
        as_scored = label is None and until is None
        write_page(_page(found, since, store, folders, with_scores=as_scored), target)
    else:
        from diagnose.terminal.trends_page import trends_page

        click.echo(trends_page(found, shutil.get_terminal_size().columns))


def _page(
    found: Trends, since: date | None, place: str | None, folders: tuple[Path, ...], *, with_scores: bool
) -> str:
    """The page of `cases score` over the same cases; the trends alone of what cannot be scored by itself."""
    from diagnose.drawing.review_page import review_page
    from diagnose.drawing.trends_section import trends_section
    from diagnose.knowledge.collection import Library

    sections = [trends_section(found)]
    symptom = found.asked.wanted.symptom
    if with_scores and (symptom is None or symptom in Library(folders_at_hand(folders)).ids()):
        from diagnose.cli.cases.score import review_at_hand
        from diagnose.drawing.score_section import score_section

        words = (symptom,) if symptom is not None else ()
        sections.insert(0, score_section(review_at_hand(words, since, place, folders)))
    return review_page(sections, found.asked.now.date())


def trends_at_hand(
    symptom: str | None,
    label: str | None,
    since: date | None,
    until: date | None,
    months: int,
    place: str | None,
    folders: tuple[Path, ...],
) -> Trends:
    """The trends of the store; of none where it is not there yet."""
    from diagnose.cases.selecting import Wanted
    from diagnose.knowledge.collection import Library
    from diagnose.reviewing.trends import trends_of
    from diagnose.reviewing.trends_told import Asked

    library = Library(folders_at_hand(folders))
    with kept_store(place) as kept:
        met = _symptoms_met(kept)
        wanted = Wanted(
            symptom=_symptom(symptom, met, library) if symptom is not None else None,
            vehicle=label_at_hand(label, library) if label is not None else None,
            opened_from=start_of(since) if since is not None else None,
            opened_before=start_of(until + timedelta(days=1)) if until is not None else None,
        )
        # A tree that is not at hand, or broken, leaves its causes under their ids.
        trees = {id: tree_at_hand(library, id) for id in met if wanted.symptom in (None, id)}
        at_hand = {id: tree for id, tree in trees.items() if tree is not None}
        return trends_of(kept, Asked(wanted, datetime.now(UTC), months), at_hand)


def _symptoms_met(kept: CaseStore | None) -> list[str]:
    from diagnose.cases.counting import causes_met

    if kept is None:
        return []
    with kept.reading() as connection:
        return sorted({symptom for symptom, _ in causes_met(connection)})


def _symptom(typed: str, met: list[str], library: Library) -> str:
    """Its id; raises UnknownSymptom for one that neither a tree nor a confirmed case has."""
    words = " ".join(typed.split()).casefold()
    of_words = {heading.symptom.casefold(): heading.id for heading in library.headings()}
    id = of_words.get(words, words)
    if id not in met:
        library.path_of(id)
    return id
