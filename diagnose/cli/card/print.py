"""`diagnose card print`: the locker card as a page for A4, or as plain text."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from diagnose.cli.options import trees_option
from diagnose.terms import WrongUsage


@click.command(
    help="""The locker card: one page in large type, to be printed from any browser.

Without FILE: the card that is used by itself.

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
    from diagnose.cli.settings import country_of, read_settings
    from diagnose.cli.vehicle import card_at_hand, usual_file
    from diagnose.drawing.locker_card import locker_html, locker_sections
    from diagnose.drawing.locker_page import fit, left_off_in_words
    from diagnose.knowledge.collection import Library
    from diagnose.walking.calling import whom_to_call
    from diagnose.walking.views import NO_CERTIFICATE

    file, library = usual_file(file), Library(folders)
    card = card_at_hand(str(file), library)
    settings = read_settings()
    settings = replace(settings, country=card.country or settings.country)
    common = library.common()
    country_of(settings, common.countries)
    calling = whom_to_call(common.countries, settings)
    sections = locker_sections(card, common.facts, calling, date.today())
    if plain:
        from diagnose.terminal.locker import locker_text, page_of_text

        kept, left_off = page_of_text(card.name, sections)
        text = locker_text(card.name, kept, left_off_in_words(left_off))
    else:
        page = fit(card.name, sections, NO_CERTIFICATE)
        left_off, text = page.left_off, locker_html(card.name, page)
    if out is None:
        click.echo(text, nl=False)
    elif out.resolve() == file.resolve():
        raise WrongUsage(f"{file} is the card itself; write to another file")
    else:
        out.write_text(text, encoding="utf-8")
    if left_off:
        click.echo(left_off_in_words(left_off).replace("No room here", "No room on one page"), err=True)
