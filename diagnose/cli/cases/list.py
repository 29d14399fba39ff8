"""`diagnose cases list`: the cases that are kept."""

from __future__ import annotations

import json
import shutil

import click

from diagnose.cli.cases.at_hand import as_json as case_as_json
from diagnose.cli.cases.at_hand import kept_store, shown_place
from diagnose.cli.options import cases_option, json_option
from diagnose.cli.repeating import options_to_repeat

HELP = """List the cases that are kept, the newest first.

Each line gives the case's number, the day it was opened, how it stands (open, left off, cured, referred,
stopped), its symptom, and the cause once somebody has confirmed it.

\b
Examples:
  diagnose cases list
  diagnose cases list --json
Then, with a number from the list:
  diagnose cases show 3
"""


@click.command(help=HELP)
@cases_option
@json_option
def command(store: str | None, as_json: bool) -> None:
    """List the cases."""
    with kept_store(store) as kept:
        records = kept.cases() if kept is not None else ()
    if as_json:
        click.echo(
            json.dumps({"cases": [case_as_json(each) for each in records]}, ensure_ascii=False, indent=2)
        )
        return
    from diagnose.terminal.case_list import case_list

    click.echo(
        case_list(records, shown_place(store), shutil.get_terminal_size().columns, options_to_repeat(store))
    )
