"""`diagnose trees fit`: figures that past cases clearly say otherwise, written into a tree file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.agreeing import yes_option
from diagnose.cli.options import cases_option, trees_option
from diagnose.cli.trees.agreeing import agreed
from diagnose.terms import DiagnoseError, FlawedKnowledge, Tree

if TYPE_CHECKING:
    from datetime import datetime

    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.revising.consequences import Consequences
    from diagnose.revising.fitting import Fit
    from diagnose.revising.fitting_cases import ToLearn
    from diagnose.terminal.console import Console

HELP = """Write into a tree file what its past cases clearly say otherwise: shares and expectations.

Meant for a file that goes to others: here the ranking learns from the cases anyhow. A figure is written where
the file's lies outside the 90 % range of what file and cases say together; beside it stands the count. The
change is shown with what follows from it and waits for a yes. A shipped tree is changed as a copy in your own
folder (--trees). Cases that went into a file before are never taken again.

\b
Examples:
  diagnose trees fit my-trees/heater.yaml
  diagnose trees fit water-pump --trees my-trees --at-least 30 --yes
"""


class BreaksSafety(DiagnoseError):
    """With the new figures a route would break a safety rule."""


@click.command(help=HELP)
@click.argument("word", metavar="PATH|ID")
@click.option(
    "--at-least",
    type=click.IntRange(min=1),
    default=10,
    show_default=True,
    metavar="N",
    help="Fewer cases than this change nothing: of the tree for shares, of a cause for what it shows.",
)
@yes_option
@cases_option
@trees_option
def command(word: str, at_least: int, yes: bool, store: str | None, folders: tuple[Path, ...]) -> None:
    """Fit one tree to its past cases."""
    from dataclasses import replace
    from datetime import UTC, datetime
    from functools import partial

    from diagnose.cli.cases.at_hand import folders_at_hand, kept_store
    from diagnose.cli.settings import read_settings
    from diagnose.knowledge.collection import Library, is_path
    from diagnose.revising.fitting import fit
    from diagnose.revising.fitting_cases import to_learn
    from diagnose.revising.fitting_text import fitted_text, noted_in, taken_into
    from diagnose.revising.writing import open_to_change, save
    from diagnose.terminal.fit_page import nothing_page, written_page

    own = folders_at_hand(folders)
    library, settings, now = Library(own), read_settings(), datetime.now(UTC)
    path = Path(word) if is_path(word) else library.path_of(word)
    opened = open_to_change(path, own)
    tree = _read(opened.text, path, library)
    with kept_store(store) as kept:
        before = taken_into(tree.sources, kept.origin if kept is not None else "")
        noted = replace(noted_in(opened.text, tree), cases=float(before.everywhere))
        learned = to_learn(kept, tree, settings, now, before.up_to) if kept is not None else None
        found = fit(tree, learned.tally, settings, at_least, noted) if learned is not None else None
        if kept is None or learned is None or found is None or not (found.shares or found.rows):
            click.echo(nothing_page(learned, found, at_least, _width()).text())
            return
        assert learned.up_to is not None
        text = fitted_text(opened.text, tree.file, found, before, kept.origin, learned.up_to)
        told = _consequences(tree, _read(text, path, library), kept, library, now)
        if told.after is not None and told.after.refused:
            raise BreaksSafety(told.after.refused)
        if not agreed(opened, text, yes=yes, more=partial(_show, tree, found, learned, told)):
            click.echo("Nothing was written.")
            return
    save(opened, text)
    click.echo(written_page(opened, _width()).text())


def _read(text: str, path: Path, library: Library) -> Tree:
    """The tree of a text; raises FlawedKnowledge with all its flaws."""
    from diagnose.knowledge.collection import shown
    from diagnose.knowledge.loading import read_tree

    tree, flaws = read_tree(text, shown(path), library.common(), id=path.stem, known=frozenset(library.ids()))
    if tree is None:
        raise FlawedKnowledge(flaws)
    return tree


def _consequences(old: Tree, new: Tree, store: CaseStore, library: Library, now: datetime) -> Consequences:
    from diagnose.cli.settings import read_settings
    from diagnose.cli.trees.replay import told_by
    from diagnose.revising.consequences import Asked, consequences
    from diagnose.terminal.mapping_progress import progress_shown
    from diagnose.walking.places import cache_folder

    asked = Asked(now, read_settings(), frozenset(library.ids()), cache_folder())
    with progress_shown() as show:
        return consequences(old, new, asked, store, progress=told_by(show))


def _show(tree: Tree, found: Fit, learned: ToLearn, told: Consequences, console: Console) -> None:
    """What is learned, and what follows from it."""
    from diagnose.terminal.consequences_page import consequences_page
    from diagnose.terminal.fit_page import fit_page

    console.show(fit_page(tree, found, learned, console.width()).lines)
    console.show(consequences_page(told, console.width()).lines)


def _width() -> int:
    import shutil

    return shutil.get_terminal_size().columns
