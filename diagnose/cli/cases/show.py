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
    if as_json:
        click.echo(json.dumps({"cases": [in_full_as_json(record)]}, ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.case_page import case_page

    tree = _tree_of(record, folders)
    click.echo(case_page(record, tree, shutil.get_terminal_size().columns, options_to_repeat(store, folders)))


def kept_case(case: int, store: str | None) -> CaseRecord:
    """The case of that number; raises NoSuchCase, also where nothing is kept at all."""
    from diagnose.cases.refusals import NoSuchCase

    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        return kept.case(case)


def _tree_of(record: CaseRecord, folders: tuple[Path, ...]) -> Tree | None:
    """The case's tree, or None where it is not at hand or broken: a past case can be read all the same."""
    from diagnose.knowledge.collection import Library

    library = Library(folders_at_hand(folders))
    try:
        return library.tree(record.symptom)
    except DiagnoseError:
        return None
