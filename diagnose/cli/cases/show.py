"""`diagnose cases show`: past cases, each with the walk as it went."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.at_hand import in_full_as_json, kept_store, library_at_hand, tree_at_hand
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.store import CaseStore
    from diagnose.terms import Tree

HELP = """Show cases: what was asked, found and tried, in the order in which it went, and how it ended.

What was taken back is shown too, and marked; a reading with its doubt. CASE is a number from
`diagnose cases list`; several give one page each.

\b
Examples:
  diagnose cases show 3
  diagnose cases show 3 4
  diagnose cases show 3 --json
"""


@click.command(help=HELP)
@click.argument("numbers", nargs=-1, required=True, type=int, metavar="CASE ...")
@cases_option
@trees_option
@json_option
def command(numbers: tuple[int, ...], store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Show cases."""
    from diagnose.cases.refusals import NoSuchCase

    wanted = tuple(dict.fromkeys(numbers))
    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(wanted[0])
        records = [kept.case(number) for number in wanted]
        library = library_at_hand(folders)
        trees = {record.symptom: tree_at_hand(library, record.symptom) for record in records}
        codes = {record.case: _code(record, trees[record.symptom], kept) for record in records}
    if as_json:
        documents = [in_full_as_json(record) | {"code": codes[record.case] or None} for record in records]
        click.echo(json.dumps({"cases": documents}, ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.case_page import case_page

    width, options = shutil.get_terminal_size().columns, options_to_repeat(store, folders)
    pages = [
        case_page(record, trees[record.symptom], width, options, codes[record.case]) for record in records
    ]
    click.echo("\n\n\n".join(pages))


def _code(record: CaseRecord, tree: Tree | None, kept: CaseStore) -> str:
    """The code by which the case's outcome comes back; nothing where it has none or no tree is at hand."""
    from diagnose.walking.case_codes import code_of

    return code_of(record, tree, kept.origin) if tree is not None else ""
