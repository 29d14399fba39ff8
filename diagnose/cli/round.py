"""`diagnose round`: the tasks of waking a vehicle up, a journey, a hand-over or a lay-up, in order."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from diagnose.cli.options import Figure, cases_option, json_option, trees_option
from diagnose.cli.round_fleet import Asked as Fleet
from diagnose.cli.round_fleet import fleet_options, show_fleet
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.cli.round_at_hand import AtHand
    from diagnose.rounds.code_parts import Head

ListForm = Literal["pdf", "html", "txt"]
LATEST = "latest"
LONGEST_LABEL = 40

HELP = """Go through the tasks of a round, one at a time, in the order that takes the fewest minutes.

ROUND is wake-up, journey, hand-over or lay-up. Each task ends as fine, wrong, not done or not fitted; what is
wrong opens the walk that finds the cause, or is left to somebody qualified. What you answer is kept at once,
so you can leave off at any time, and two people may go through one round together. It never certifies that a
vehicle is safe.

\b
Examples:
  diagnose round wake-up
  diagnose round wake-up --vehicle blue-van.yaml --by A.
  diagnose round wake-up --short 30            the best half hour; safety always in it
  diagnose round --resume                      go on where you left off
  diagnose round wake-up --list -o list.pdf    on paper, with boxes
  diagnose round --code 0001-RW56-...          bring paper or phone back by its code
  diagnose round wake-up --marks found.yaml    the same by a file
  diagnose round --kept                        rounds that are kept
  diagnose round lay-up --preventions          what else prevents faults, and what to have done
  diagnose round wake-up --fleet yard          all vehicles with a card in a folder

\b
What was ticked on paper is asked, or read from a pipe as one line, such as:
  wrong 4 9: the strap is loose; not done 12; a caravan; rest fine


The file for --marks holds the ids of tasks as printed, such as:
  w4-tyres: fine
  w14-gas: {end: wrong, note: the hose is of 2019}
  vehicle: {build: caravan}
"""


@click.command(help=HELP)
@click.argument("name", required=False, metavar="[ROUND]")
@click.option(
    "--vehicle",
    default="",
    metavar="CARD or LABEL",
    help="The vehicle's card (a word with / or ending in .yaml), or just a name to keep with the round.",
)
@click.option(
    "--by", "who", default="", metavar="LABEL", help="A label for whoever goes through it; no name."
)
@click.option(
    "--resume",
    is_flag=False,
    flag_value=LATEST,
    default=None,
    metavar="[NUMBER]",
    help="Go on with a round; without a number, with the newest that is not ended.",
)
@click.option("--short", "minutes", type=Figure(1, 100_000), metavar="MIN", help="Only so many minutes.")
@click.option("--list", "as_list", is_flag=True, help="Print the round as a list with boxes.")
@click.option(
    "--format", "form", type=click.Choice(["pdf", "html", "txt"]), help="Of the list; else by the file."
)
@click.option(
    "-o",
    "target",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The file to write the list to.",
)
@click.option(
    "--marks",
    "marks_file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A YAML file of tasks and how they ended: all of it is kept, or nothing.",
)
@click.option(
    "--code",
    metavar="CODE",
    help="The code of a printed list, or the one that a phone shows at the end of a round.",
)
@click.option(
    "--kept",
    is_flag=False,
    flag_value=LATEST,
    default=None,
    metavar="[NUMBER]",
    help="Show the rounds that are kept, or one of them.",
)
@click.option(
    "--preventions",
    is_flag=True,
    help="Of the lay-up: all that the trees say prevents faults and none of its tasks does.",
)
@cases_option
@trees_option
@json_option
@fleet_options
def command(
    name: str | None,
    vehicle: str,
    who: str,
    resume: str | None,
    minutes: float | None,
    as_list: bool,
    form: ListForm | None,
    target: Path | None,
    marks_file: Path | None,
    code: str | None,
    kept: str | None,
    preventions: bool,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
    fleet: Fleet | None,
) -> None:
    """Go through a round."""
    from diagnose.cli.round_at_hand import at_hand

    if fleet is not None:
        others = (vehicle, who, resume, minutes, as_list, form, marks_file, code, kept, preventions or None)
        show_fleet(name, folders, replace(fleet, as_json=as_json, target=target), store, others)
        return
    head = None
    if preventions and any((who, resume, minutes, as_list, form, target, marks_file, code, kept)):
        raise WrongUsage(
            "--preventions only shows: it goes with lay-up, --vehicle, --json, --trees and --cases"
        )
    if code is not None:
        head = _head_of(code, name, (minutes, marks_file, kept, form, target), as_list)
        name = head.round
    _refuse_what_does_not_go_together(name, resume, minutes, as_list, form, target, marks_file, kept, as_json)
    who = _label(who)
    console = None
    if not (as_json or as_list or marks_file or kept or preventions):
        from diagnose.terminal.console import open_console

        console = open_console()
    usual = console is not None and console.is_read() and not vehicle.strip()
    there = at_hand(name, vehicle, who, minutes, store, folders, usual=usual)
    try:
        if preventions:
            from diagnose.cli.round_prevention import show_preventions

            show_preventions(there, as_json)
        elif kept is not None:
            _show_kept(there, _number(kept, "--kept"), as_json)
        elif as_list:
            from diagnose.cli.round_list import write_list

            write_list(there, form, target)
        elif marks_file is not None:
            from diagnose.cli.round_marks import take_marks

            take_marks(there, marks_file, _number(resume, "--resume"), resume is not None, as_json)
        elif head is not None:
            from diagnose.cli.round_code import take_code

            asked = console if console is not None and console.is_read() else None
            raise click.exceptions.Exit(
                take_code(there, head, asked, _number(resume, "--resume"), resume is not None, as_json)
            )
        elif console is None:
            from diagnose.cli.round_document import print_document

            print_document(there, _number(resume, "--resume"), resume is not None)
        else:
            from diagnose.cli.round_prompt import go_through

            raise click.exceptions.Exit(
                go_through(there, console, _number(resume, "--resume"), resume is not None)
            )
    finally:
        there.desk.close()


def _refuse_what_does_not_go_together(
    name: str | None,
    resume: str | None,
    minutes: float | None,
    as_list: bool,
    form: str | None,
    target: Path | None,
    marks_file: Path | None,
    kept: str | None,
    as_json: bool,
) -> None:
    if name is None and resume is None and kept is None:
        raise WrongUsage("which round? Write: diagnose round wake-up (or journey, hand-over, lay-up)")
    if as_list and as_json:
        raise WrongUsage("--list writes a page, so it does not go with --json")
    if as_list and (resume is not None or marks_file is not None or name is None):
        raise WrongUsage("--list wants the name of a round, and neither --resume nor --marks")
    if (target is not None or form is not None) and not as_list:
        raise WrongUsage("-o and --format are for --list; a round itself is shown on the screen")
    if minutes is not None and (kept is not None or marks_file is not None):
        raise WrongUsage("--short is for a round that is gone through or printed")
    if kept is not None and (resume is not None or marks_file is not None or as_list):
        raise WrongUsage("--kept only shows: leave out --resume, --marks and --list")


def _head_of(code: str, name: str | None, others: tuple[object, ...], as_list: bool) -> Head:
    from diagnose.cli.round_code import head_of

    if as_list or any(other is not None for other in others):
        raise WrongUsage("--code goes with --vehicle, --by, --resume, --json, --trees and --cases only")
    return head_of(code, name)


def _number(word: str | None, option: str) -> int | None:
    if word is None or word == LATEST:
        return None
    if not word.isascii() or not word.isdigit():
        raise WrongUsage(f'{option} takes the number of a round, not "{word}"')
    return int(word)


def _label(text: str) -> str:
    label = " ".join(text.split())
    if len(label) > LONGEST_LABEL or not label.isprintable():
        raise WrongUsage(
            f"--by takes a label of {LONGEST_LABEL} characters at most, without control characters"
        )
    return label


def _show_kept(there: AtHand, number: int | None, as_json: bool) -> None:
    from diagnose.cli.round_document import print_kept

    print_kept(there, number, as_json)
