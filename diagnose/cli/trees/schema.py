"""`diagnose trees schema`: what an editor needs to complete and check a tree file while one types."""

from __future__ import annotations

import json
from pathlib import Path

import click

HELP = """Write the JSON Schema (2020-12) of a tree file, for your editor.

An editor that knows it completes keys, words and ids, shows what each key is for, and marks what does not fit
while you type. It cannot judge everything: `diagnose trees check` has the last word. How an editor is told
stands in docs/writing-trees.md.

\b
Examples:
  diagnose trees schema -o tree.schema.json
  diagnose trees schema | less
"""


@click.command(help=HELP)
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The file to write; else standard output.",
)
def command(output: Path | None) -> None:
    """Write the schema."""
    from diagnose.knowledge.collection import Library, shown
    from diagnose.knowledge.schema import tree_schema
    from diagnose.revising.writing import write_whole

    text = json.dumps(tree_schema(Library().common()), ensure_ascii=False, indent=2) + "\n"
    if output is None:
        click.echo(text, nl=False)
        return
    write_whole(output, text.encode())
    click.echo(f"{shown(output)} is written.")
