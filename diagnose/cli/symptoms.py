"""`diagnose symptoms`: what can be walked."""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import json_option, trees_option

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Heading, Library

HELP = """List the symptoms that can be walked, by the part of the vehicle.

\b
Examples:
  diagnose symptoms
  diagnose symptoms --json
Then, with an id from the list:
  diagnose walk engine-no-crank
"""


@click.command(help=HELP)
@trees_option
@json_option
def command(folders: tuple[Path, ...], as_json: bool) -> None:
    """List what can be walked."""
    from diagnose.knowledge.collection import Library

    library = Library(folders)
    headings = library.headings()
    if as_json:
        click.echo(
            json.dumps({"symptoms": [_entry(each) for each in headings]}, ensure_ascii=False, indent=2)
        )
    else:
        click.echo(_listing(headings, library, shutil.get_terminal_size().columns))


def _entry(heading: Heading) -> dict[str, object]:
    return {
        "id": heading.id,
        "symptom": heading.symptom,
        "also_said": list(heading.also_said),
        "system": heading.system,
        "shipped": heading.shipped,
    }


def _listing(headings: Sequence[Heading], library: Library, width: int) -> str:
    from diagnose.terminal.layout import Page

    systems = library.common().systems
    page = Page(width)
    order = [*systems, *sorted({heading.system for heading in headings} - set(systems))]
    for system in order:
        within = [heading for heading in headings if heading.system == system]
        if not within:
            continue
        page.gap().say(systems[system].title if system in systems else system)
        for heading in within:
            mark = "" if heading.shipped else " (your own tree; not checked by this project)"
            page.hang("", f"{heading.symptom}{mark}").say(heading.id, indent=4)
    return page.gap().say("To walk one: diagnose walk ID").text()
