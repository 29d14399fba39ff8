"""`diagnose cases restore`: a copy put back in the store's place."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.cli.options import cases_option

HELP = """Put a copy back in the place of the store, when that is damaged or lost.

COPY is a file that `diagnose cases copy` has written. What stood in its place is kept beside it under another
name. Nobody should be walking meanwhile: their answers would go to the store that was put aside.

\b
Examples:
  diagnose cases restore /media/stick/cases.sqlite
"""


@click.command(help=HELP)
@click.argument("copy", type=click.Path(path_type=Path, dir_okay=False), metavar="COPY")
@cases_option
def command(copy: Path, store: str | None) -> None:
    """Put a copy back."""
    from diagnose.cases.addresses import address_of
    from diagnose.cases.copying import put_back
    from diagnose.terminal.wrapping import clean
    from diagnose.walking.places import store_url

    address = address_of(store_url(store))
    aside = put_back(address, copy)
    click.echo(f"The copy is put back as {clean(address.shown)}")
    if aside is not None:
        click.echo(f"What stood there is kept as {clean(str(aside))}")
