"""`diagnose card new`: a short talk, and a file that was not there before."""

from __future__ import annotations

import shlex
from datetime import date
from pathlib import Path

import click

from diagnose.cli.options import trees_option
from diagnose.terms import DiagnoseError, WrongUsage


class CardIsThere(DiagnoseError):
    """A file of that name is there already, and is left as it is."""


@click.command(
    help="""Make a card, one short question at a time. A file that is there already is never touched.

Without FILE it is made where walks at a terminal find it and use it by themselves: that of your own vehicle.

\b
Examples:
  diagnose card new
  diagnose card new blue-van.yaml
"""
)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@trees_option
def command(file: Path | None, folders: tuple[Path, ...]) -> None:
    """Ask and write."""
    from diagnose.knowledge.card_words import CardWords
    from diagnose.knowledge.collection import Library, is_path
    from diagnose.terminal.card_dialogue import CardDialogue
    from diagnose.terminal.console import open_console
    from diagnose.terminal.dangers import DangerTold, stop_before_a_walk
    from diagnose.terminal.endings import stopped_end
    from diagnose.terminal.layout import Page
    from diagnose.walking.places import usual_card

    usual = file is None
    file = usual_card() if file is None else file
    if not str(file).isprintable():
        raise WrongUsage("that cannot be the name of a card")
    if not is_path(str(file)):
        raise WrongUsage(f'a card is a file that ends in .yaml, such as "{file}.yaml"')
    if usual:
        file.parent.mkdir(parents=True, exist_ok=True)
    _refuse_existing(file)
    library = Library(folders)
    console = open_console()
    try:
        text = CardDialogue(console, CardWords(library), date.today()).run(str(file))
    except DangerTold as told:
        end = stop_before_a_walk(told.heard, library.common().referrals, ("112",))
        console.show(stopped_end(end, console.width()).lines)
        return
    except EOFError:
        console.show(Page(console.width()).say("Nothing was written.").lines)
        return
    try:
        with file.open("x", encoding="utf-8") as sink:
            sink.write(text)
    except FileExistsError:
        _refuse_existing(file)
    named = [] if usual else [str(file)]
    page = Page(console.width()).gap()
    if usual:
        page.say(f"The card is {file}. From now on it is used by itself.")
    else:
        page.say(f"The card is {file}. Walk with it:")
        page.say(shlex.join(["diagnose", "walk", "--vehicle", str(file)]), indent=2)
    page.say("Print it in large type:")
    page.say(shlex.join(["diagnose", "card", "print", *named, "-o", "locker-card.html"]), indent=2)
    console.show(page.lines)


def _refuse_existing(file: Path) -> None:
    if file.exists() or file.is_symlink():
        raise CardIsThere(f"{file} is there already and is left as it is; write another name")
    if not file.absolute().parent.is_dir():
        raise WrongUsage(f"there is no folder {file.absolute().parent}")
