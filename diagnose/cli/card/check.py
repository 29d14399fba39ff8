"""`diagnose card check`: every flaw of a card at once, and what its dates say is due."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from diagnose.cli.options import trees_option


@click.command(
    help="""Find every flaw of a card, and say what is due. Without FILE: the card that is used by itself.

\b
Example:
  diagnose card check blue-van.yaml
"""
)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@trees_option
def command(file: Path | None, folders: tuple[Path, ...]) -> None:
    """Read it, and say what there is to say."""
    from diagnose.cli.vehicle import card_at_hand, usual_file
    from diagnose.knowledge.collection import Library
    from diagnose.walking.carded import overdue

    file = usual_file(file)
    due = overdue(card_at_hand(str(file), Library(folders)), date.today())
    for each in due:
        click.echo(f"NOTICE: {each.says}")
    click.echo(f"{file}: no flaw{'' if due else ', nothing is due'}")
