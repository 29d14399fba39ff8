"""`diagnose practise`: a hidden fault for a learner, scored against the best route."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from diagnose.cli.options import json_option, role_option, target_option, trees_option
from diagnose.terms import Role, WrongUsage

if TYPE_CHECKING:
    from diagnose.cli.practise_at_hand import AtHand, By
    from diagnose.practising.hiding import Level
    from diagnose.practising.practice import Practice

SEEDS = 100_000
SheetForm = Literal["pdf", "html", "txt"]

HELP = """Practise: a made-up vehicle has a hidden fault, and you find out what it is.

ID is a symptom's id (see: diagnose symptoms) or the path of a tree file. Choose what to do next; the vehicle
answers as vehicles with that fault do. At the end you see how you did beside the best route on the same
vehicle. This is practice: nothing of it is to be done on a real vehicle, and it certifies nobody.

\b
Examples:
  diagnose practise heater-no-fire                      a fault drawn by share
  diagnose practise heater-no-fire --by difficulty      a hard one
  diagnose practise --exercise 0000-0000-0000-0000      the one that the trainer gave out
  diagnose practise heater-no-fire --trainer            answer for the vehicle yourself
  diagnose practise heater-no-fire --sheet -o sheet.pdf an exercise on paper
  diagnose practise --class results.txt -o class.csv    what the class handed in
"""


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[ID]")
@click.option("--exercise", "code", metavar="CODE", help="The exercise with this code, instead of a new one.")
@click.option(
    "--seed",
    type=click.IntRange(0, SEEDS - 1),
    help="The same seed gives the same exercise; else one is drawn.",
)
@click.option(
    "--by",
    type=click.Choice(["share", "difficulty", "misses"]),
    help="How the hidden fault is drawn: as often as it occurs (the default), by how hard it is to find, or "
    "by what was missed earlier.",
)
@click.option(
    "--level",
    type=click.Choice(["easy", "middling", "hard"]),
    help="With --by difficulty: which third of the faults; hard unless told otherwise.",
)
@click.option(
    "--earlier",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="With --by misses: earlier results, as a class table or one code on each line.",
)
@click.option("--fault", metavar="CAUSE", help="Hide this fault; not-listed for one that no tree lists.")
@role_option("Whose steps can be chosen.")
@click.option("--trainer", is_flag=True, help="You see the fault and answer for the vehicle; a class asks.")
@click.option("--learner", metavar="LABEL", default="", help="A label of your choice, for your result.")
@click.option(
    "--choices",
    "script",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    metavar="FILE",
    help="Take what is chosen from a file, a line each: a number, an id, or name CAUSE.",
)
@click.option("--sheet", is_flag=True, help="Write the exercise on paper, its answers on a second page.")
@click.option(
    "--format", "form", type=click.Choice(["pdf", "html", "txt"]), help="Of the sheet; else by the file."
)
@click.option("--class", "of_class", is_flag=True, help="Read results, as text or files, into a table.")
@target_option("The file to write a sheet or a class table to.")
@trees_option
@click.option(
    "--cases",
    "store",
    metavar="URL",
    help="Let the cases kept there count in shares and answers; else none do.",
)
@json_option
def command(
    words: tuple[str, ...],
    code: str | None,
    seed: int | None,
    by: By | None,
    level: Level | None,
    earlier: Path | None,
    fault: str | None,
    role: Role,
    trainer: bool,
    learner: str,
    script: Path | None,
    sheet: bool,
    form: SheetForm | None,
    of_class: bool,
    target: Path | None,
    folders: tuple[Path, ...],
    store: str | None,
    as_json: bool,
) -> None:
    """Practise on a made-up vehicle."""
    from diagnose.cli.practise_at_hand import AtHand, Wanted, drawn
    from diagnose.cli.practise_options import refuse_what_does_not_go_together
    from diagnose.knowledge.collection import Library

    refuse_what_does_not_go_together(words)
    at_hand = AtHand(Library(folders), store, words[0] if words and not of_class else None)
    if of_class:
        from diagnose.cli.practise_class import print_class

        raise click.exceptions.Exit(print_class(at_hand, words, target, as_json))
    if code is not None:
        practice = _by_code(at_hand, code)
    else:
        wanted = Wanted(by or "share", level or "hard", fault, earlier, _label(learner))
        practice = drawn(at_hand, words[0], role, _any_seed() if seed is None else seed, wanted)
    if sheet:
        from diagnose.cli.practise_sheet import write_sheet

        write_sheet(practice, form, target)
    elif as_json:
        _print_document(practice, script, _label(learner))
    else:
        _at_the_prompt(practice, script, _label(learner), trainer)


def _by_code(at_hand: AtHand, code: str) -> Practice:
    practice = at_hand.by_code(code)
    id = practice.exercise.model.tree.id
    if at_hand.named is not None and at_hand.trees.tree(at_hand.named).id != id:
        raise WrongUsage(f'this exercise is of "{id}", not of "{at_hand.named}"')
    return practice


def _label(text: str) -> str:
    """A label that can stand on one line before a code; raises WrongUsage for one that is no label."""
    label = " ".join(text.split())
    if len(label) > 40 or not label.isprintable():
        raise WrongUsage("a learner's label has 40 characters at most, and no control characters")
    return label


def _any_seed() -> int:
    from secrets import randbelow

    return randbelow(SEEDS)


def _print_document(practice: Practice, script: Path | None, learner: str) -> None:
    from diagnose.cli.practise_script import follow
    from diagnose.practising.document import as_document
    from diagnose.practising.scoring import scored

    lines, source = _lines_of(script)
    follow(practice, lines, source)
    click.echo(json.dumps(as_document(scored(practice), learner), ensure_ascii=False, indent=2))


def _lines_of(script: Path | None) -> tuple[list[str], str]:
    from diagnose.cli.practise_at_hand import read_text

    if script is None or str(script) == "-":
        return sys.stdin.read().splitlines(), "standard input"
    return read_text(script).splitlines(), str(script)


def _at_the_prompt(practice: Practice, script: Path | None, learner: str, trainer: bool) -> None:
    from diagnose.cli.settings import read_settings
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.console import PlainConsole, open_console
    from diagnose.terminal.practise_dialogue import PractiseDialogue
    from diagnose.walking.calling import whom_to_call

    console = open_console()
    if script is not None and str(script) != "-":
        lines, _ = _lines_of(script)
        console = PlainConsole(io.StringIO("".join(f"{line}\n" for line in lines)), sys.stdout)
    settings = read_settings()
    countries = Library(()).common().countries if settings.country else {}
    numbers = whom_to_call(countries, settings).numbers
    PractiseDialogue(practice, console, learner, trainer, numbers).run()
