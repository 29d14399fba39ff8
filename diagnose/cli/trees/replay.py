"""`diagnose trees replay`: all past cases over two versions of a tree."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.terms import Tree, WrongUsage

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library
    from diagnose.revising.replaying_found import Replay

TOLD_EVERY = 100
"""After so many cases the bar moves."""

HELP = """Hold two versions of a tree against every confirmed case: which is better, and on which cases?

OLD and NEW are paths of tree files or ids. Each case is judged by both from its own findings and from all
other cases: how sure the tree is of the true cause, where it stands in the ranking, and what the route would
have cost. Cases that got worse are named. Nothing is changed.

\b
Examples:
  diagnose trees replay water-pump my-trees/water-pump.yaml
  diagnose trees replay old/heater.yaml new/heater.yaml --json
"""


@click.command(help=HELP)
@click.argument("old")
@click.argument("new")
@cases_option
@trees_option
@json_option
def command(old: str, new: str, store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Replay past cases over two trees."""
    from diagnose.cli.cases.at_hand import library_at_hand

    library = library_at_hand(folders)
    before, after = two_versions(library, old, new)
    found = replayed(before, after, library, store)
    if as_json:
        from diagnose.revising.replaying_document import as_document

        click.echo(json.dumps(as_document(found, before, after), ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.replay_page import replay_page

    click.echo(replay_page(found, shutil.get_terminal_size().columns).text())


def two_versions(library: Library, old: str, new: str) -> tuple[Tree, Tree]:
    """Both trees; an id that the new file wins over stands for the version that it hides.

    Raises FlawedKnowledge, UnknownSymptom, and WrongUsage where there is one file only.
    """
    before, after = library.tree(old), library.tree(new)
    if Path(before.file).absolute() == Path(after.file).absolute():
        hidden = library.versions(old)[1:] if before.id == old else ()
        if not hidden:
            raise WrongUsage(f"OLD and NEW are the same file ({before.file})")
        before = hidden[0]
    return before, after


def replayed(old: Tree, new: Tree, library: Library, place: str | None) -> Replay:
    """All past cases of the store over both; over none where the store is not there yet."""
    from datetime import UTC, datetime

    from diagnose.cli.cases.at_hand import kept_store
    from diagnose.cli.settings import read_settings
    from diagnose.revising.replaying import Wanted, nothing_replayed, replay
    from diagnose.terminal.mapping_progress import progress_shown
    from diagnose.walking.places import cache_folder

    wanted = Wanted(old, new, read_settings(), frozenset(library.ids()), cache_folder())
    with kept_store(place) as kept:
        if kept is None:
            return nothing_replayed(wanted)
        with progress_shown() as show:
            return replay(kept, wanted, datetime.now(UTC), told_by(show))


def told_by(show: Callable[[str, float], None]) -> Callable[[int, int], None]:
    """A bar that hears of every hundredth case."""

    def told(done: int, of: int) -> None:
        if done % TOLD_EVERY == 0 or done == of:
            show("Replaying past cases", done / of)

    return told
