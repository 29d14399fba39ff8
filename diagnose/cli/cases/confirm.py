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
from diagnose.cli.cases.at_hand import folders_at_hand, kept_store
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import NOT_LISTED, DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.terms import Tree

HELP = """Say what a case turned out to be, so that it counts in the next ranking.

CASE is a number from `diagnose cases list`; CODE is the code from the end of a walk or from its sheet, in
capitals or small letters, with or without spaces. CAUSE is the id of a cause of that symptom, several that
made it only together joined with + (in any order), or not-listed for something that the tree does not know;
NUMBER is that of an outcome on the sheet. Without either, a case is confirmed as what its cure points to;
where there was no cure, and for a code, the outcomes are listed.

What the square code of a sheet holds may stand in CODE's place: the code with the exact readings behind it. A
code from another machine opens its case here, once, with what it carries. Saying the same twice counts once.
Saying another cause later puts it right.

\b
Examples:
  diagnose cases confirm 3
  diagnose cases confirm 3 regulator-blocked
  diagnose cases confirm 3 not-listed
  diagnose cases confirm CODE 2
"""


@click.command(help=HELP)
@click.argument("words", nargs=-1, required=True, metavar="CASE|CODE [CAUSE|NUMBER]")
@cases_option
@trees_option
@json_option
def command(words: tuple[str, ...], store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Confirm a case."""
    from diagnose.cli.cases.by_code import confirm_by_code, typed_code

    typed, behind = typed_code(words)
    given = " ".join(behind if typed else behind[1:]) or None
    if typed:
        document, text = confirm_by_code(typed, given, store, folders, options_to_repeat(store, folders))
    else:
        document, text = _confirm(_case(behind[0]), given, store, folders)
    if as_json:
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
        return
    from diagnose.terminal.layout import Page

    page = text if isinstance(text, Page) else Page(shutil.get_terminal_size().columns).say(text)
    click.echo(page.text())


def _case(word: str) -> int:
    if not (word.isascii() and word.isdecimal()):
        from diagnose.knowledge.ids import quoted

        raise WrongUsage(f"{quoted(word)} is neither the number of a case nor a code")
    return int(word)


def _confirm(
    case: int, given: str | None, store: str | None, folders: tuple[Path, ...]
) -> tuple[dict[str, object], str]:
    from diagnose.cases.refusals import NoSuchCase
    from diagnose.terminal.by_code import what_was_done

    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        before = kept.case(case)
        named, says = _cause(before, given, folders, options_to_repeat(store, folders))
        after = kept.confirm(case, named, datetime.now(UTC))
    return {"cases": [case_as_json(after)]}, what_was_done(before, named, says)


def _cause(
    record: CaseRecord, given: str | None, folders: tuple[Path, ...], options: tuple[str, ...]
) -> tuple[str, str]:
    """The id of the cause and its words. Raises NoSuchCause, WrongUsage, and what is wrong with the tree."""
    from diagnose.knowledge.naming import cause_named, cause_numbered, says_of

    if given is not None and given.strip().lower() == NOT_LISTED:
        return NOT_LISTED, ""
    tree = _tree(record, folders)
    if given is None:
        given = record.points_to or _none_given(record, tree, options)
    if given.isdecimal():
        _same_tree(record, tree, given)
        named = cause_numbered(tree, int(given))
    else:
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


def _same_tree(record: CaseRecord, tree: Tree, number: str) -> None:
    """Raises where a number on somebody's sheet may mean another cause by now."""
    if record.tree_digest != tree.digest:
        from diagnose.knowledge.naming import causes_listed

        raise DiagnoseError(
            f'the tree "{tree.id}" has changed since case {record.case}, so outcome {number} may be another '
            f"now; use the code from its sheet, or write the cause:\n{causes_listed(tree)}"
        )


def _tree(record: CaseRecord, folders: tuple[Path, ...]) -> Tree:
    from diagnose.knowledge.collection import Library, UnknownSymptom

    try:
        return Library(folders_at_hand(folders)).tree(record.symptom)
    except UnknownSymptom as error:
        raise DiagnoseError(
            f'the tree "{record.symptom}" of case {record.case} is not at hand; name its folder with --trees'
        ) from error
