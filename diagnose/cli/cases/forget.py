"""`diagnose cases forget`: cases taken out for good."""

from __future__ import annotations

import re
import shlex
import shutil
from typing import TYPE_CHECKING, NamedTuple

import click

from diagnose.cli.cases.agreeing import agreed, yes_option
from diagnose.cli.cases.at_hand import kept_store, shown_place
from diagnose.cli.options import cases_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore

HELP = """Take cases out for good, with every answer that was given and with what they count.

CASE is a number from `diagnose cases list`, or a span such as 3-7. --vehicle LABEL takes all cases of a
vehicle, also those that were brought in, and its rounds; a number behind it is a label, never a case. --round
NUMBER takes a round (`diagnose round --kept` lists those). --merged ORIGIN takes
out what was merged from another store (`diagnose cases merge` lists those). What goes is shown first, and
needs a yes.

Copies of the store, and exports that you gave away, stay as they are: delete the copies, and give out a new
export, which takes the place of the old one.

\b
Examples:
  diagnose cases forget 3
  diagnose cases forget 3 5-9
  diagnose cases forget --vehicle "the blue van"
  diagnose cases forget --merged 0123456789abcdef
"""

_SPAN = re.compile(r"([0-9]{1,10})(?:-([0-9]{1,10}))?")
MOST_IN_A_SPAN = 100_000


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[CASE ...]")
@click.option("--vehicle", "vehicles", multiple=True, metavar="LABEL", help="All cases of this vehicle.")
@click.option(
    "--round", "of_rounds", multiple=True, type=click.IntRange(1), metavar="NUMBER", help="A kept round."
)
@click.option("--merged", "origins", multiple=True, metavar="ORIGIN", help="What was merged from this store.")
@yes_option
@cases_option
def command(
    words: tuple[str, ...],
    vehicles: tuple[str, ...],
    of_rounds: tuple[int, ...],
    origins: tuple[str, ...],
    yes: bool,
    store: str | None,
) -> None:
    """Take cases out for good."""
    numbers = _numbers(words)
    if not (numbers or vehicles or of_rounds or origins):
        raise WrongUsage(
            "say what goes: the number of a case, --vehicle LABEL, --round NUMBER or --merged ORIGIN"
        )
    if any(not label.strip() for label in vehicles):
        raise WrongUsage("--vehicle takes a label; cases without one are named by their numbers")
    with kept_store(store) as kept:
        if kept is None:
            raise DiagnoseError(f"no case is kept yet in {shown_place(store)}; there is nothing to forget")
        named = _Named(numbers, vehicles, tuple(dict.fromkeys(of_rounds)), tuple(dict.fromkeys(origins)))
        _forget(kept, named, yes=yes, options=options_to_repeat(store))


class _Named(NamedTuple):
    """What was named on the command line."""

    numbers: tuple[int, ...]
    vehicles: tuple[str, ...]
    of_rounds: tuple[int, ...]
    origins: tuple[str, ...]


def _forget(kept: CaseStore, what: _Named, *, yes: bool, options: tuple[str, ...]) -> None:
    from diagnose.cases.forgetting import cases_named, clear_traces, forget, rounds_named
    from diagnose.cases.merging import named, take_out
    from diagnose.terminal.case_forgetting import forgotten, going

    cases = cases_named(kept, what.numbers, what.vehicles)
    rounds = rounds_named(kept, what.of_rounds, what.vehicles)
    stores = named(kept, what.origins)
    width = shutil.get_terminal_size().columns
    page = going(cases, stores, width, options, rounds)
    if yes:
        click.echo(page.text())
    if not agreed(page, "Forget them? Type the whole word: yes or no.", yes=yes):
        click.echo("Nothing was forgotten.")
        return
    for each in stores:
        take_out(kept, each.origin)
    traces = None
    if cases or rounds:
        forget(kept, [each.case for each in cases], [each.number for each in rounds])
        traces = clear_traces(kept)
    click.echo(forgotten(cases, stores, traces, width, len(rounds)).text())


def _numbers(words: tuple[str, ...]) -> tuple[int, ...]:
    """The numbers of cases, spans spread out. Raises WrongUsage for a word that is neither."""
    from diagnose.terminal.wrapping import clean

    found: list[int] = []
    for word in words:
        span = _SPAN.fullmatch(word)
        if span is None:
            label = clean(word)
            raise WrongUsage(
                f'"{label}" is no number of a case; for a vehicle write: --vehicle {shlex.quote(label)}'
            )
        first, last = int(span[1]), int(span[2] or span[1])
        if not first <= last < first + MOST_IN_A_SPAN:
            raise WrongUsage(f"{word} is no span of cases; write the lower number first, such as 3-7")
        found += range(first, last + 1)
    return tuple(dict.fromkeys(found))
