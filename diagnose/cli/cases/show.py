"""`diagnose cases show`: one case, with the walk as it went."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.at_hand import case_argument, folders_at_hand, in_full_as_json, kept_store
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import DiagnoseError

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.terms import Tree

HELP = """Show one case: what was asked, found and tried, in the order in which it went, and how it ended.

What was taken back is shown too, and marked. CASE is a number from `diagnose cases list`.

\b
Examples:
  diagnose cases show 3
  diagnose cases show 3 --json
"""


@click.command(help=HELP)
@case_argument
@cases_option
@trees_option
@json_option
def command(case: int, store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Show one case."""
    record = kept_case(case, store)
    tree = _tree_of(record, folders)
    code = _code(record, tree, store)
    if as_json:
        document = in_full_as_json(record) | {"code": code or None}
        click.echo(json.dumps({"cases": [document]}, ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.case_page import case_page

    width, options = shutil.get_terminal_size().columns, options_to_repeat(store, folders)
    click.echo(case_page(record, tree, width, options, code))


def kept_case(case: int, store: str | None) -> CaseRecord:
    """The case of that number; raises NoSuchCase, also where nothing is kept at all."""
    from diagnose.cases.refusals import NoSuchCase

    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        return kept.case(case)


def _code(record: CaseRecord, tree: Tree | None, store: str | None) -> str:
    """The code by which the case's outcome comes back; nothing where it has none or no tree is at hand."""
    from diagnose.walking.case_codes import code_of

    with kept_store(store) as kept:
        return code_of(record, tree, kept.origin) if kept is not None and tree is not None else ""


def _tree_of(record: CaseRecord, folders: tuple[Path, ...]) -> Tree | None:
    """The case's tree, or None where it is not at hand or broken: a past case can be read all the same."""
    from diagnose.knowledge.collection import Library

    library = Library(folders_at_hand(folders))
    try:
        return library.tree(record.symptom)
    except DiagnoseError:
        return None
