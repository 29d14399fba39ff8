"""`diagnose walk`: from a symptom to a cause put right, or a firm referral."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.desk import desk_at_hand
from diagnose.cli.options import cases_option, json_option, role_option, trees_option
from diagnose.terms import Role, WrongUsage

if TYPE_CHECKING:
    from diagnose.terminal.console import Console
    from diagnose.terminal.desk import Desk

LATEST = "latest"

HELP = """Find out what is wrong, one question at a time.

Say it in your own words, or give an id (see: diagnose symptoms) or the path of a tree file. At every question
you may type: not sure, back, why, help, leave off, danger. What you answer is kept at once, so you can stop
at any time and go on later.

\b
Examples:
  diagnose walk no warm air
  diagnose walk engine-no-crank --vehicle "the blue van"
  diagnose walk no warm air --vehicle blue-van.yaml
  diagnose walk --resume
  diagnose walk heater-no-fire --answers found.yaml --json

\b
The file for --answers holds what is known already, such as:
  smell-of-gas: no
  volts-at-start: 11.2 V
  cylinder-empty: not-cured

A card says what is true of a vehicle, so that it is not asked (to make one: diagnose card new). That of your
own vehicle is used by itself at a terminal; with --vehicle NAME you walk without it.

Whom to call follows from your country: set DIAGNOSE_COUNTRY (uk, ie, de ...), or write "country: uk" into the
file settings.yaml in your configuration folder for leisure-fault-diagnosis. A vehicle's card wins over both.
It never certifies that a vehicle is safe.
"""


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[WORDS or ID]")
@click.option(
    "--vehicle",
    default="",
    metavar="CARD or LABEL",
    help="The vehicle's card (a word with / or ending in .yaml), or just a name to keep with the case.",
)
@role_option("Who walks: a technician is given steps that an owner is not.")
@click.option(
    "--resume",
    is_flag=False,
    flag_value=LATEST,
    default=None,
    metavar="[CASE]",
    help="Go on with a case; without a number, with the newest that was left off.",
)
@click.option(
    "--answers",
    "answers_file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A YAML file of what is known already.",
)
@click.option("--hurry", is_flag=True, help="Count waiting in full, as if you had to stand by.")
@cases_option
@trees_option
@json_option
def command(
    words: tuple[str, ...],
    vehicle: str,
    role: Role,
    resume: str | None,
    answers_file: Path | None,
    hurry: bool,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Walk a symptom."""
    text = " ".join(words).strip()
    case = _case(resume)
    if resume is not None and answers_file is not None:
        raise WrongUsage("--resume and --answers do not go together: a case knows its own answers")
    if as_json and not text:
        raise WrongUsage("--json wants a symptom's id or path, such as: diagnose walk engine-no-crank --json")
    console = None if as_json else _console()
    # A program, and whoever brings answers or names a vehicle, gets what was named and nothing else.
    usual = console is not None and console.is_read() and not vehicle.strip() and answers_file is None
    desk = desk_at_hand(vehicle, role, hurry, store, folders, usual=usual and role == "owner")
    try:
        if console is None:
            _print_reckoned(desk, text, answers_file)
        else:
            _visit(console, desk, text, resume, case, answers_file)
    finally:
        desk.close()


def _case(resume: str | None) -> int | None:
    if resume is None or resume == LATEST:
        return None
    if not resume.isascii() or not resume.isdigit():
        raise WrongUsage(f'--resume takes the number of a case, not "{resume}"')
    return int(resume)


def _console() -> Console:
    from diagnose.terminal.console import open_console
    from diagnose.terminal.visiting import warm_up

    return open_console(when_reading=warm_up)


def _visit(
    console: Console,
    desk: Desk,
    text: str,
    resume: str | None,
    case: int | None,
    answers_file: Path | None,
) -> None:
    from diagnose.terminal.ahead import OneAtATime
    from diagnose.terminal.round_offer import RoundWanted
    from diagnose.terminal.visiting import Visit

    if answers_file is not None and not text:
        raise WrongUsage("--answers wants a symptom, such as: diagnose walk engine-no-crank --answers FILE")
    known = None
    if answers_file is not None:
        from diagnose.walking.answers import load_answers

        known = partial(load_answers, answers_file)
    if resume == LATEST:
        case = desk.latest_to_resume()
    if console.is_read():
        desk.meanwhile = OneAtATime()
    try:
        code = Visit(console, desk, known).run(text, case)
    except RoundWanted as wanted:
        from diagnose.cli.round_at_hand import AtHand
        from diagnose.cli.round_prompt import go_through

        code = go_through(AtHand(desk, None, "", None), console, wanted.number, resume=True)
    raise click.exceptions.Exit(code)


def _print_reckoned(desk: Desk, word: str, answers_file: Path | None) -> None:
    """One document of what follows from the answers; no case is opened."""
    from diagnose.walking.answers import Answers, load_answers
    from diagnose.walking.reckoning import reckon

    tree = desk.tree(word)
    answers = load_answers(answers_file, tree) if answers_file is not None else Answers()
    answers = answers.after(desk.facts_ahead(tree, all_facts=True), tree)
    document = reckon(tree, desk.reasoner(tree), answers) | desk.card_as_json()
    click.echo(json.dumps(document, ensure_ascii=False, indent=2))
