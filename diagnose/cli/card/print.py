"""`diagnose card print`: the locker card as a page for A4, or as plain text."""

from __future__ import annotations

import shlex
import shutil
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import trees_option
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.knowledge.card import VehicleCard
    from diagnose.knowledge.collection import Library


@click.command(
    help="""The locker card: one page in large type, to be printed from any browser.

Without FILE: the card that is used by itself. Without -o a terminal shows it as plain text.

\b
Examples:
  diagnose card print blue-van.yaml -o locker-card.html
  diagnose card print blue-van.yaml --plain
"""
)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--plain", is_flag=True, help="Plain text for the terminal, not a page.")
@click.option(
    "-o", "out", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Write to this file."
)
@trees_option
def command(file: Path | None, plain: bool, out: Path | None, folders: tuple[Path, ...]) -> None:
    """Read the card and write it in large."""
    from diagnose.cli.vehicle import card_at_hand, usual_file
    from diagnose.drawing.locker_page import left_off_in_words
    from diagnose.knowledge.collection import Library

    named = [] if file is None else [str(file)]
    file, library = usual_file(file), Library(folders)
    if out is not None and out.resolve() == file.resolve():
        raise WrongUsage(f"{file} is the card itself; write to another file")
    on_screen = out is None and sys.stdout.isatty()  # nobody reads a page of HTML there
    text, left_off = _page(card_at_hand(str(file), library), library, plain=plain or on_screen)
    if out is None:
        click.echo(text, nl=False)
    else:
        out.write_text(text, encoding="utf-8")
    if on_screen and not plain:
        _say_how_to_print(named)
    if left_off:
        click.echo(left_off_in_words(left_off).replace("No room here", "No room on one page"), err=True)


def _page(card: VehicleCard, library: Library, *, plain: bool) -> tuple[str, tuple[tuple[str, int], ...]]:
    """The page as text or HTML, and what had no room on it: (heading, how many lines)."""
    from diagnose.cli.settings import country_of, read_settings
    from diagnose.drawing.locker_card import locker_html, locker_sections
    from diagnose.drawing.locker_page import fit, left_off_in_words
    from diagnose.terminal.locker import locker_text, page_of_text
    from diagnose.walking.calling import whom_to_call
    from diagnose.walking.views import NO_CERTIFICATE

    settings = read_settings()
    settings = replace(settings, country=card.country or settings.country)
    common = library.common()
    country_of(settings, common.countries)
    calling = whom_to_call(common.countries, settings)
    sections = locker_sections(card, common.facts, calling, date.today())
    if plain:
        kept, left_off = page_of_text(card.name, sections)
        return locker_text(card.name, kept, left_off_in_words(left_off)), left_off
    page = fit(card.name, sections, NO_CERTIFICATE)
    return locker_html(card.name, page), page.left_off


def _say_how_to_print(named: list[str]) -> None:
    from diagnose.terminal.layout import Page

    page = Page(shutil.get_terminal_size().columns).gap()
    page.say("To print it in large type, write it to a file and open that in a browser:")
    page.say(shlex.join(["diagnose", "card", "print", *named, "-o", "locker-card.html"]), indent=2)
    click.echo("\n" + page.text(), err=True)
