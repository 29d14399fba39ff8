"""`diagnose trees rename`: another id for a cause, check or event, its past kept."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.agreeing import yes_option
from diagnose.cli.options import trees_option
from diagnose.cli.trees.agreeing import agreed

if TYPE_CHECKING:
    from diagnose.revising.writing import Opened

HELP = """Give a cause, check or event of a tree another id, everywhere in its file. Past cases still count.

The old id is kept under `was`, so whatever is stored under it, here or in another workshop, is led to the new
one. The change is shown and waits for a yes; nothing else in the file changes. A shipped tree is changed as a
copy in your own folder (--trees).

\b
Examples:
  diagnose trees rename my-trees/heater.yaml no-gas gas-missing
  diagnose trees rename heater-no-fire flue-nest flue-blocked --trees my-trees --yes
"""


@click.command(help=HELP)
@click.argument("word", metavar="PATH|ID")
@click.argument("old")
@click.argument("new")
@yes_option
@trees_option
def command(word: str, old: str, new: str, yes: bool, folders: tuple[Path, ...]) -> None:
    """Rename in one tree."""
    from diagnose.cli.cases.at_hand import folders_at_hand
    from diagnose.knowledge.collection import Library, is_path
    from diagnose.knowledge.loading import read_tree
    from diagnose.revising.renaming import renamed
    from diagnose.revising.writing import open_to_change, save
    from diagnose.terms import FlawedKnowledge

    own = folders_at_hand(folders)
    library = Library(own)
    path = Path(word) if is_path(word) else library.path_of(word)
    opened = open_to_change(path, own)
    tree, flaws = read_tree(opened.text, str(path), library.common(), id=path.stem)
    if tree is None:
        raise FlawedKnowledge(flaws)
    text = renamed(opened.text, tree, old, new, library.common())
    if not agreed(opened, text, yes=yes):
        click.echo("Nothing was written.")
        return
    save(opened, text)
    _told(opened, old, new)


def _told(opened: Opened, old: str, new: str) -> None:
    from diagnose.knowledge.collection import shown
    from diagnose.terminal.layout import Page

    page = Page(shutil.get_terminal_size().columns).gap()
    page.say(f"{shown(opened.target)} is written. What past cases have under {old} counts for {new}.")
    if opened.copied:
        page.say(
            "It is a copy of your own, and wins over the tree of this project wherever its folder is named "
            "with --trees. The change above is what to send to the project, so that all have it."
        )
    click.echo(page.text())
