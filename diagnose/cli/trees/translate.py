"""`diagnose trees translate`: a tree's catalogue for a translator to fill in, or brought up to date."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import trees_option

if TYPE_CHECKING:
    from diagnose.knowledge.catalogues import Catalogue
    from diagnose.knowledge.collection import Library
    from diagnose.terms import Tree

HELP = """Write a tree's catalogue (GNU gettext PO) in another language, for a translator to fill in.

It holds every text of the tree that a hand-over sheet can show, with the places where it stands. What the
catalogue beside the tree has by now is kept; what is no text of the tree any more stays at the end, marked
#~. Put it beside your tree as languages/CODE/TREE-ID.po; docs/translations.md tells the rest.

\b
Examples:
  diagnose trees translate my-trees/heater.yaml --language de -o my-trees/languages/de/heater.po
  diagnose trees translate heater-no-fire --language fr | less
"""


@click.command(help=HELP)
@click.argument("word", metavar="PATH or ID")
@click.option("--language", "code", required=True, metavar="CODE", help="Such as de or fr.")
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The file to write; else standard output.",
)
@trees_option
def command(word: str, code: str, output: Path | None, folders: tuple[Path, ...]) -> None:
    """Write a catalogue."""
    from diagnose.knowledge.catalogue_writing import catalogue_text
    from diagnose.knowledge.collection import Library, shown
    from diagnose.knowledge.texts import tree_texts
    from diagnose.revising.writing import write_whole

    library = Library(folders)
    tree = library.tree(word)
    texts = tree_texts(tree, library.common())
    old = _known(tree, code, library)
    text = catalogue_text(code, texts, old, title=f"What a hand-over sheet shows of {tree.id}.")
    if output is None:
        click.echo(text, nl=False)
        return
    write_whole(output, text.encode())
    done = sum(english in old.entries and old.entries[english].usable for english in texts)
    click.echo(f"{shown(output)} is written: {done} of {len(texts)} texts are translated.")


def _known(tree: Tree, code: str, library: Library) -> Catalogue:
    """What is translated by now: beside the tree, and the same texts of a shipped tree that it replaces."""
    from diagnose.knowledge.catalogue_checks import catalogue_files
    from diagnose.knowledge.catalogues import Catalogue, Entry, read_catalogue
    from diagnose.knowledge.collection import shown
    from diagnose.knowledge.languages import ENGLISH, language
    from diagnose.knowledge.texts import tree_texts
    from diagnose.terms import WrongUsage

    if code == ENGLISH:
        raise WrongUsage(
            "the trees themselves are in English; name the language to translate into, such as de"
        )
    spoken = language(code, tree)
    beside = [read_catalogue(path, shown(path)) for found, path in catalogue_files(tree) if found == code]
    old = beside[0] if beside else Catalogue("")
    there = {english: spoken.text(english) for english in tree_texts(tree, library.common())}
    shared = {english: Entry(english, (text.words,)) for english, text in there.items() if not text.original}
    kept = {english: entry for english, entry in old.entries.items() if any(entry.forms)}
    return Catalogue(old.file, shared | kept, old.headers)
