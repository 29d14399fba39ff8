"""`diagnose cases confirm`: what a case turned out to be."""

from __future__ import annotations

import json
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.at_hand import as_json as case_as_json
from diagnose.cli.cases.at_hand import case_argument, folders_at_hand, kept_store
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import NOT_LISTED, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.terms import Tree

HELP = """Say what a case turned out to be, so that it counts in the next ranking.

CASE is a number from `diagnose cases list`. CAUSE is the id of a cause of that symptom, several that made it
only together joined with + (in any order), or not-listed for something that the tree does not know. Without
CAUSE it is taken to be what the cure points to; where there was no cure, the causes are listed.

Saying the same twice counts once. Saying another cause later puts it right.

\b
Examples:
  diagnose cases confirm 3
  diagnose cases confirm 3 regulator-blocked
  diagnose cases confirm 3 not-listed
"""


@click.command(help=HELP)
@case_argument
@click.argument("cause", required=False, metavar="[CAUSE]")
@cases_option
@trees_option
@json_option
def command(
    case: int, cause: str | None, store: str | None, folders: tuple[Path, ...], as_json: bool
) -> None:
    """Confirm a case."""
    from diagnose.cases.refusals import NoSuchCase

    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        before = kept.case(case)
        named, says = _cause(before, cause, folders, options_to_repeat(store, folders))
        after = kept.confirm(case, named, datetime.now(UTC))
    if as_json:
        click.echo(json.dumps({"cases": [case_as_json(after)]}, ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.layout import Page

    page = Page(shutil.get_terminal_size().columns)
    click.echo(page.say(_what_was_done(before, named, says)).text())


def _cause(
    record: CaseRecord, given: str | None, folders: tuple[Path, ...], options: tuple[str, ...]
) -> tuple[str, str]:
    """The id of the cause and its words. Raises NoSuchCause, WrongUsage, and what is wrong with the tree."""
    from diagnose.knowledge.naming import cause_named, says_of

    if given is not None and given.strip().lower() == NOT_LISTED:
        return NOT_LISTED, ""
    tree = _tree(record, folders)
    if given is None:
        given = record.points_to or _none_given(record, tree, options)
    named = cause_named(tree, given)
    return named, says_of(tree, named)


def _none_given(record: CaseRecord, tree: Tree, options: tuple[str, ...]) -> str:
    from diagnose.knowledge.naming import causes_listed

    example = (str(record.case), "+".join(tree.cut_sets[0]))

    raise WrongUsage(
        f"case {record.case} has no cure that points to a cause; write which it was:\n"
        f"{causes_listed(tree)}\n"
        f"For example: {shlex.join(['diagnose', 'cases', 'confirm', *example, *options])}"
    )


def _tree(record: CaseRecord, folders: tuple[Path, ...]) -> Tree:
    from diagnose.knowledge.collection import Library, UnknownSymptom
    from diagnose.terms import DiagnoseError

    try:
        return Library(folders_at_hand(folders)).tree(record.symptom)
    except UnknownSymptom as error:
        raise DiagnoseError(
            f'the tree "{record.symptom}" of case {record.case} is not at hand; name its folder with --trees'
        ) from error


def _what_was_done(before: CaseRecord, cause: str, says: str) -> str:
    words = f"{says} ({cause})" if says else "something that is not listed"
    if before.confirmed and before.cause == cause:
        return f"Case {before.case} was confirmed as this already: {words}. Nothing has changed."
    if before.confirmed:
        return (
            f"Case {before.case} is now confirmed as: {words}. Until now it counted as {before.cause}; "
            "the counts have moved."
        )
    return f"Case {before.case} is confirmed: {words}. It counts from the next walk on."
