"""`diagnose cases export`: the sums over one's own cases, to give to others."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import click

from diagnose.cli.cases.at_hand import kept_store, shown_place
from diagnose.cli.options import cases_option, target_option
from diagnose.terms import DiagnoseError

HELP = """Give out what your own cases have taught: sums by symptom, cause, answer, year and ending.

No vehicle, no text of yours and no date but the year stands in the file. It holds everything that you have
counted so far, so a later one takes the place of an earlier one, and whoever merges several counts no case
twice. What was merged from others is not in it.

With --at-least K, sums that count fewer than K cases are left out, with what they could be worked out from.
That hides single cases from somebody who has this one file, not from somebody who has two exports to
compare.

\b
Examples:
  diagnose cases export -o our-sums.json
  diagnose cases export --at-least 5 -o our-sums.json
"""


@click.command(help=HELP)
@target_option("The file to write; else standard output.")
@click.option(
    "--at-least",
    type=click.IntRange(3, 10_000_000),
    metavar="K",
    help="Leave out sums of fewer than K cases; 3 is the least that hides anything.",
)
@cases_option
def command(target: Path | None, at_least: int | None, store: str | None) -> None:
    """Give out the sums."""
    from diagnose.cases.exchange_making import make_export, write_export
    from diagnose.terminal.case_exchange import export_told, withheld_told

    with kept_store(store) as kept:
        if kept is None:
            raise DiagnoseError(f"no case is kept yet in {shown_place(store)}; there is nothing to give out")
        export, withheld = make_export(kept, datetime.now(UTC).year, at_least or 0)
    width = shutil.get_terminal_size().columns
    if target is None or str(target) == "-":
        click.echo(export.text(), nl=False)
        if at_least:
            click.echo(withheld_told(withheld, at_least, width), err=True)
        return
    write_export(export, target)
    click.echo(export_told(export, withheld, str(target), width))
