"""`diagnose cases copy`: a copy of the store, to keep."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.cli.options import cases_option
from diagnose.cli.repeating import options_to_repeat

HELP = """Copy the store to a file, whole, also while somebody walks.

A copy is for keeping: on another disk, for the day when this one fails. `diagnose cases restore` puts it
back. It keeps the store's name for exports and codes, so only one of the two may go on. With --new-origin
the copy gets a name of its own, and codes that were given out no longer fit it.

\b
Examples:
  diagnose cases copy -o /media/stick/cases.sqlite
"""


@click.command(help=HELP)
@click.option(
    "-o",
    "target",
    required=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write; an earlier copy there is replaced.",
)
@click.option("--new-origin", is_flag=True, help="Make the copy a store of its own, to go on with.")
@cases_option
def command(target: Path, new_origin: bool, store: str | None) -> None:
    """Copy the store."""
    from diagnose.cases.addresses import address_of
    from diagnose.cases.copying import copy_store
    from diagnose.terminal.case_list import command as as_typed
    from diagnose.terminal.wrapping import clean
    from diagnose.walking.places import store_url

    copy_store(address_of(store_url(store)), target, new_origin=new_origin)
    click.echo(f"The store is copied to {clean(str(target))}")
    if new_origin:
        click.echo("It is a store of its own now; cases that both hold count twice where both are merged.")
        return
    click.echo(
        f"To put it back: {as_typed('cases', 'restore', clean(str(target)), *options_to_repeat(store))}"
    )
