"""`diagnose cases list`: the cases that are kept, all or those that fit, on a screen, as JSON or as CSV."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.at_hand import kept_store, label_at_hand, library_at_hand, shown_place
from diagnose.cli.dates import any_day, start_of
from diagnose.cli.options import cases_option, json_option, target_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import State, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.selecting import Wanted
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.case_list import ListedPart

STATES: tuple[State, ...] = ("open", "left-off", "cured", "referred", "stopped")
AWAITED: tuple[State, ...] = ("referred", "stopped")
"""The ends that do not report themselves."""
SHOWN = 50
"""How many are shown unless another number is asked for."""

HELP = f"""List the cases that are kept, the newest first.

Each line gives the case's number, the day it was opened, how it stands (open, left off, cured, referred,
stopped), its symptom, and the cause once somebody has confirmed it. The newest {SHOWN} are shown, or as many
as --last says; --json and --csv give all.

--waiting lists the referrals and stops of which nobody has said what it was, the longest waiting first, each
with its code. --csv writes a table that `diagnose cases import` reads again; cells that a spreadsheet would
take for formulas have an apostrophe in front.

\b
Examples:
  diagnose cases list
  diagnose cases list --symptom heater-no-fire --since 2026-09-01
  diagnose cases list --vehicle "van 7" --unconfirmed
  diagnose cases list --waiting
  diagnose cases list --csv -o cases.csv
Then, with a number from the list:
  diagnose cases show 3
"""


@click.command(help=HELP)
@click.option(
    "--symptom", metavar="ID", help="Only of this symptom: its id, or its words just as they stand."
)
@click.option("--cause", metavar="ID", help="Only confirmed as this cause.")
@click.option("--vehicle", "label", metavar="CARD or LABEL", help="Only of this vehicle, in any capitals.")
@click.option("--since", type=any_day, metavar="DATE", help="Only opened on this day or later.")
@click.option("--until", type=any_day, metavar="DATE", help="Only opened on this day or earlier.")
@click.option("--state", "states", type=click.Choice(STATES), multiple=True, help="Only in this state.")
@click.option("--confirmed/--unconfirmed", default=None, help="Only whose cause is known, or is not.")
@click.option("--waiting", is_flag=True, help="Only referrals and stops whose outcome nobody has told.")
@click.option("--last", type=click.IntRange(min=1), metavar="N", help="Show so many.")
@click.option("--csv", "as_csv", is_flag=True, help="Write a table with one column for each check.")
@target_option("The file for --csv; else standard output.")
@cases_option
@trees_option
@json_option
def command(
    symptom: str | None,
    cause: str | None,
    label: str | None,
    since: date | None,
    until: date | None,
    states: tuple[State, ...],
    confirmed: bool | None,
    waiting: bool,
    last: int | None,
    as_csv: bool,
    target: Path | None,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """List the cases."""
    from diagnose.cases.selecting import Wanted

    _refuse_what_does_not_go_together(
        since, until, waiting, bool(states) or confirmed is not None, as_json, as_csv, target
    )
    library = partial(library_at_hand, folders)
    wanted = Wanted(
        states=AWAITED if waiting else tuple(dict.fromkeys(states)),
        confirmed=False if waiting else confirmed,
        vehicle=label_at_hand(label, library()) if label is not None else None,
        opened_from=start_of(since) if since is not None else None,
        opened_before=start_of(until + timedelta(days=1)) if until is not None else None,
        oldest_first=waiting,
        limit=last,
    )
    with kept_store(store) as kept:
        wanted = _named(wanted, symptom, cause, library, kept)
        if as_csv:
            from diagnose.cli.cases.list_csv import write_csv

            write_csv(kept, wanted, target)
        elif as_json:
            from diagnose.cli.cases.list_json import print_json

            print_json(kept, wanted, library() if waiting else None)
        else:
            _print_list(kept, wanted, library, waiting, store, folders)


def _refuse_what_does_not_go_together(
    since: date | None,
    until: date | None,
    waiting: bool,
    narrowed: bool,
    as_json: bool,
    as_csv: bool,
    target: Path | None,
) -> None:
    if since is not None and until is not None and since > until:
        raise WrongUsage(f"--since {since} is later than --until {until}")
    if waiting and narrowed:
        raise WrongUsage(
            "--waiting is of unconfirmed referrals and stops; it takes no --state and no --confirmed"
        )
    if as_json and as_csv:
        raise WrongUsage("--json and --csv do not go together")
    if target is not None and not as_csv:
        raise WrongUsage("-o goes with --csv")


def _named(
    wanted: Wanted,
    symptom: str | None,
    cause: str | None,
    library: Callable[[], Library],
    kept: CaseStore | None,
) -> Wanted:
    """With symptom and cause by their ids of today.

    What the trees do not know is looked for all the same, since a store may hold more than the trees at hand;
    where no case has it either, raises UnknownSymptom or NoSuchCause with the nearest right word.
    """
    if symptom is not None:
        trees, words = library(), " ".join(symptom.split()).casefold()
        of_words = {heading.symptom.casefold(): heading.id for heading in trees.headings()}
        wanted = replace(wanted, symptom=of_words.get(words, words))
        if wanted.symptom not in trees.ids() and not _any(kept, symptom=wanted.symptom):
            trees.path_of(words)
    if cause is not None:
        wanted = replace(wanted, cause=_cause(wanted, cause.strip(), library(), kept))
    return wanted


def _cause(wanted: Wanted, cause: str, library: Library, kept: CaseStore | None) -> str:
    from diagnose.knowledge.naming import cause_named

    if wanted.symptom not in library.ids() or _any(kept, symptom=wanted.symptom, cause=cause):
        return cause
    return cause_named(library.tree(wanted.symptom or ""), cause)


def _any(kept: CaseStore | None, **fields: Any) -> bool:
    return kept is not None and bool(kept.cases(**fields, limit=1))


def _print_list(
    kept: CaseStore | None,
    wanted: Wanted,
    library: Callable[[], Library],
    waiting: bool,
    store: str | None,
    folders: tuple[Path, ...],
) -> None:
    from diagnose.terminal.case_list import case_list

    part = _part(kept, wanted, library, waiting, shown_place(store))
    click.echo(case_list(part, shutil.get_terminal_size().columns, options_to_repeat(store, folders)))


def _part(
    kept: CaseStore | None, wanted: Wanted, library: Callable[[], Library], waiting: bool, place: str
) -> ListedPart:
    """What the screen shows: some of the cases, and how many there are."""
    from diagnose.cases.browsing import counted, listed
    from diagnose.cases.selecting import Wanted
    from diagnose.cli.cases.waiting import with_codes
    from diagnose.terminal.case_list import ListedPart

    codes: dict[int, str] | None = {} if waiting else None
    filtered = replace(wanted, limit=None) != Wanted()
    if kept is None:
        return ListedPart((), {}, place, filtered, codes)
    shown = replace(wanted, limit=wanted.limit or SHOWN)
    if waiting:
        records, codes = with_codes(kept, shown, library())
    else:
        records = tuple(each.record for each in listed(kept, shown))
    return ListedPart(records, counted(kept, wanted), place, filtered, codes)
