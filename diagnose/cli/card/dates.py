"""`diagnose card dates`: what of a vehicle is due and when, on a screen, as JSON or for a calendar."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.dates import any_day
from diagnose.cli.options import json_option, trees_option
from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.knowledge.card import VehicleCard
    from diagnose.rounds.due import DueDate


class NothingEverDue(DiagnoseError):
    """A card without a date that is ever due makes no calendar."""


@click.command(
    help="""What of a vehicle is due, and when: overdue first. Without FILE: the card that is used by itself.

A calendar file holds an event for each due day, with a reminder 30 days before. Read in again after the card
has changed, it moves the events that are there. The dates of the driver's own papers stay out of it.

\b
Examples:
  diagnose card dates
  diagnose card dates blue-van.yaml --on 2027-03-01    as it will be then
  diagnose card dates blue-van.yaml --calendar -o dates.ics
"""
)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--calendar", "as_calendar", is_flag=True, help="An iCalendar file, for any calendar.")
@click.option("--driver", is_flag=True, help="With --calendar: the dates of the driver's own papers too.")
@click.option("--on", "on", metavar="DAY", help="As it is on this day, such as 2027-03-01; else today.")
@click.option(
    "-o", "out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Write to this file."
)
@json_option
@trees_option
def command(
    file: Path | None,
    as_calendar: bool,
    driver: bool,
    on: str | None,
    out: Path | None,
    as_json: bool,
    folders: tuple[Path, ...],
) -> None:
    """Read the card and say what is due."""
    from diagnose.cli.output import write_out
    from diagnose.cli.vehicle import card_at_hand, usual_file
    from diagnose.knowledge.collection import Library
    from diagnose.rounds.due import due_dates

    if as_calendar and as_json:
        raise WrongUsage("--calendar and --json are two forms of the same; give one of them")
    if driver and not as_calendar:
        raise WrongUsage("--driver goes with --calendar; everywhere else the driver's dates are shown")
    file, today = usual_file(file), date.today() if on is None else any_day(on)
    if out is not None and out.resolve() == file.resolve():
        raise WrongUsage(f"{file} is the card itself; write to another file")
    card = card_at_hand(str(file), Library(folders))
    dues = due_dates(card, today)
    if as_calendar:
        _write_calendar(card, dues, file, out, driver=driver)
    elif as_json:
        write_out(json.dumps(_document(card, dues, today), ensure_ascii=False, indent=2) + "\n", out)
    else:
        width = shutil.get_terminal_size().columns if out is None else 80
        write_out(_listing(card, dues, today, width) + "\n", out)


def _write_calendar(
    card: VehicleCard, dues: Sequence[DueDate], file: Path, out: Path | None, *, driver: bool
) -> None:
    from diagnose.cli.output import write_made
    from diagnose.rounds.calendar import calendar

    dated = [due for due in dues if due.day is not None]
    taken = [due for due in dated if driver or not due.kind.driver]
    if not taken:
        raise NothingEverDue(f"{file} holds no date that is ever due, so there is no calendar to make")
    content = calendar(card.name, taken, datetime.now(UTC))
    write_made(content, out if out is not None else Path("-"), "dates.ics")
    if len(taken) < len(dated):
        click.echo("Left out: the dates of the driver's own papers. With them: --driver", err=True)
    gone = sum(due.state == "overdue" for due in taken)
    if gone:
        days = "1 day is" if gone == 1 else f"{gone} days are"
        click.echo(f"{days} overdue already: a calendar does not remind of what is past.", err=True)


def _document(card: VehicleCard, dues: Sequence[DueDate], today: date) -> dict[str, object]:
    from diagnose.rounds.due import country_notes
    from diagnose.rounds.due_statements import due_as_json

    return {
        "vehicle": card.name,
        "on": today.isoformat(),
        "dates": due_as_json(dues, card.country, today),
        "notes": list(country_notes(card, today)),
    }


def _listing(card: VehicleCard, dues: Sequence[DueDate], today: date, width: int) -> str:
    from diagnose.rounds.due import country_notes
    from diagnose.rounds.due_statements import due_statement
    from diagnose.terminal.layout import Page
    from diagnose.walking.carded import in_words
    from diagnose.walking.views import NO_CERTIFICATE

    groups = (
        ("Due", [due for due in dues if due.state in ("overdue", "today")]),
        ("To come", [due for due in dues if due.state == "ahead"]),
        ("Unknown", [due for due in dues if due.state == "unknown"]),
        ("Never due", [due for due in dues if due.state == "never"]),
    )
    page = Page(width).say(f"The dates of {card.name}, on {in_words(today)}")
    for heading, group in groups:
        if group:
            page.gap().say(heading)
        for due in group:
            page.hang("- ", due_statement(due, today))
    notes = country_notes(card, today)
    if notes:
        page.gap().say("Rules of the country")
        for note in notes:
            page.hang("- ", note)
    return page.gap().say(NO_CERTIFICATE).text()
