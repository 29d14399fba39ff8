"""`diagnose cases add`: a case that nobody walked, logged when it is over."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.add_given import ENDS, GivenCase, vehicle_label
from diagnose.cli.cases.at_hand import as_json as case_as_json
from diagnose.cli.cases.at_hand import label_at_hand, library_at_hand
from diagnose.cli.cases.given_findings import checks_named
from diagnose.cli.dates import noon_of, past_day
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import NOT_LISTED, DiagnoseError, State, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.console import Console
    from diagnose.terminal.quick_log import Picked
    from diagnose.terms import Tree

HELP = """Log a case that is over and that nobody walked, so that it counts in the next ranking.

Say in a few words what it was; the best few causes are shown to pick from, and what is to be logged is shown
for a yes. It is kept as a technician's case, confirmed, and cured today unless you say otherwise. No words of
yours are kept. Something that no tree lists is logged as not listed.

Without a terminal nothing is guessed: give --symptom, --cause and --yes.

With --code it takes in what a sheet of another machine tells, before anybody knows what it was. CODE is the
code from the sheet, or all that its square code holds.

\b
Examples:
  diagnose cases add spider in flue
  diagnose cases add tap microswitch --vehicle "van 7" --on yesterday
  diagnose cases add --symptom water-pump --cause pump-fuse --yes
  diagnose cases add --symptom water-pump --cause not-listed --state referred --yes
  diagnose cases add flat battery --finding "rest-volts=11.9 V"
  diagnose cases add --code 057R-R84R-R336-8R87-65M8
"""


class AlreadyLogged(DiagnoseError):
    """The same vehicle, cause and day is there already."""


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[WORDS]")
@click.option("--symptom", metavar="ID", help="The symptom's id; with words, only its causes are looked at.")
@click.option("--cause", metavar="ID", help="The cause's id, or not-listed; goes with --symptom.")
@click.option("--vehicle", "label", default="", metavar="CARD or LABEL", help="A name to keep with the case.")
@click.option("--on", "day", type=past_day, metavar="DATE", help="Such as 2026-11-20, yesterday, 3 days ago.")
@click.option("--state", type=click.Choice(ENDS), default="cured", show_default=True, help="How it ended.")
@click.option("--finding", "found", multiple=True, metavar="CHECK=ANSWER", help="What was found; repeatable.")
@click.option(
    "--code", metavar="CODE", help="Open the case of a sheet's code before it is known what it was."
)
@click.option("--yes", is_flag=True, help="Log it without asking; only with --symptom and --cause.")
@click.option("--again", is_flag=True, help="Log it though the vehicle has the same on that day already.")
@click.option("--plates", is_flag=True, help="Take a vehicle's name that looks like a number plate.")
@cases_option
@trees_option
@json_option
def command(
    words: tuple[str, ...],
    symptom: str | None,
    cause: str | None,
    label: str,
    day: date | None,
    state: State,
    found: tuple[str, ...],
    code: str | None,
    yes: bool,
    again: bool,
    plates: bool,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Log a case that is over."""
    from diagnose.terminal.console import open_console

    if code is not None:
        if words or symptom or cause or label or day or found or yes or again:
            raise WrongUsage(
                "--code tells all of a case by itself; only --cases, --trees and --json go with it"
            )
        _open_by_code(code, store, folders, as_json)
        return
    text = " ".join(words).strip()
    if cause is not None and (symptom is None or text):
        raise WrongUsage("--cause goes with --symptom, and without words")
    if yes and cause is None:
        raise WrongUsage("--yes goes with --symptom and --cause: words are never taken without asking")
    checks_named(found)
    library = library_at_hand(folders)
    vehicle = vehicle_label(label_at_hand(label, library), plates)
    opened = noon_of(day or date.today(), datetime.now(UTC)).astimezone()
    given = GivenCase(
        vehicle, opened, state, found, options_to_repeat(store, folders), options_to_repeat(store)
    )
    console = open_console()
    picked = _by_ids(library, symptom, cause) if symptom is not None and cause is not None else None
    if picked is not None and yes:
        _log_unasked(given, picked, store, again, as_json, console)
    elif as_json or not console.is_read():
        raise WrongUsage(_what_to_write(given, picked, text, library, symptom))
    else:
        trees = _trees(library, symptom) if picked is None else []
        raise click.exceptions.Exit(_ask_and_log(given, picked, text, trees, library, store, console))


def _open_by_code(code: str, store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    import shutil

    from diagnose.cli.cases.by_code import open_by_code
    from diagnose.terminal.layout import Page

    document, told = open_by_code(code, store, folders, options_to_repeat(store, folders))
    if as_json:
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
        return
    click.echo(Page(shutil.get_terminal_size().columns).say(told).text())


def _by_ids(library: Library, symptom: str, cause: str) -> Picked:
    """What exact ids name (old ones are led to today's); raises UnknownSymptom, NoSuchCause."""
    from diagnose.knowledge.naming import cause_named, says_of
    from diagnose.terminal.quick_log import Picked, not_listed

    tree = library.tree(symptom)
    named = cause_named(tree, cause)
    return not_listed(tree) if named == NOT_LISTED else Picked(tree, named, says_of(tree, named), exact=True)


def _trees(library: Library, symptom: str | None) -> list[Tree]:
    """The trees to look in. One with flaws is left out and named, for the others serve all the same."""
    if symptom is not None:
        return [library.tree(symptom)]
    trees = []
    for id in library.ids():
        try:
            trees.append(library.tree(id))
        except DiagnoseError:
            click.echo(f"{id} is left out: its file has flaws (diagnose trees check {id})", err=True)
    return trees


def _what_to_write(
    given: GivenCase, picked: Picked | None, text: str, library: Library, symptom: str | None
) -> str:
    """What to type where nobody can be asked: the command that logs it, or one for each cause it may be."""
    from diagnose.knowledge.cause_search import search_causes

    if picked is not None:
        written = given.command(picked.tree.id, picked.cause)
        return f"nobody can be asked here; to log it, add --yes:\n  {written}"
    matches = search_causes(text, _trees(library, symptom)) if text else ()
    if not matches:
        told = f'nothing here fits "{text[:60]}"' if text else "say in a few words what it was"
        written = given.command(symptom or "ID", "ID")
        return f"{told}; nobody can be asked here, so give its ids:\n  {written}"
    lines = ["nobody can be asked which of these it was; write the one that is meant:"]
    for match in matches:
        lines += [
            f"  {match.says} ({match.symptom_says})",
            f"    {given.command(match.symptom, match.cause)}",
        ]
    return "\n".join(lines)


def _log_unasked(
    given: GivenCase, picked: Picked, store: str | None, again: bool, as_json: bool, console: Console
) -> None:
    from diagnose.cases.adding import add_known, already_there
    from diagnose.terminal.quick_log import logged_page

    known = given.known(picked)
    with _open(store) as kept:
        before = None if again else already_there(kept, known)
        if before is not None:
            raise AlreadyLogged(
                f"case {before} is of the same vehicle, day and cause; to log another one, add --again"
            )
        case = add_known(kept, known, datetime.now(UTC))
        if as_json:
            document = {"cases": [case_as_json(kept.case(case))]}
            click.echo(json.dumps(document, ensure_ascii=False, indent=2))
            return
    console.show(logged_page(case, picked, given.forget_command(case), console.width()))


def _ask_and_log(
    given: GivenCase,
    picked: Picked | None,
    text: str,
    trees: list[Tree],
    library: Library,
    store: str | None,
    console: Console,
) -> int:
    """Ask what it was, show it and log it; returns the exit code."""
    from diagnose.cases.adding import add_known, already_there
    from diagnose.terminal.dangers import DangerTold
    from diagnose.terminal.layout import Page
    from diagnose.terminal.quick_log import LeftOff, ask_what_it_was, is_to_be_logged, logged_page

    try:
        picked = picked or ask_what_it_was(console, trees, text)
        known = given.known(picked)
        with _open(store) as kept:
            if not is_to_be_logged(console, picked, given.draft(already_there(kept, known))):
                raise LeftOff
            case = add_known(kept, known, datetime.now(UTC))
    except DangerTold:
        return _stop(library, console)
    except (LeftOff, EOFError):
        console.show(Page(console.width()).say("Nothing was logged.").lines)
        return 0
    console.show(logged_page(case, picked, given.forget_command(case), console.width()))
    return 0


def _stop(library: Library, console: Console) -> int:
    """The stop for a danger: it was not the past case that was spoken of."""
    from diagnose.cli.settings import read_settings
    from diagnose.terminal.dangers import stop_before_a_walk
    from diagnose.terminal.endings import stopped_end
    from diagnose.walking.calling import whom_to_call
    from diagnose.walking.danger_words import ANY_DANGER

    common = library.common()
    numbers = whom_to_call(common.countries, read_settings()).numbers
    end = stop_before_a_walk(ANY_DANGER, common.referrals, numbers)
    console.show(stopped_end(end, console.width()).lines)
    return 0


def _open(store: str | None) -> CaseStore:
    from diagnose.cases.store import open_store
    from diagnose.walking.places import store_url

    return open_store(store_url(store))
