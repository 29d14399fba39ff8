"""`diagnose trees report`: how good a tree is, in figures."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.options import check_html, html_options, json_option, role_option, trees_option
from diagnose.terms import Role, Tree

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library
    from diagnose.reviewing.tree_report import TreeReport

TRUTHS = 10
ROLES: tuple[Role, ...] = ("owner", "technician")

HELP = """Show how good a tree is: what it reaches, what it costs, and what each part of it is worth.

ID is a symptom's id or the path of a tree file; several make one page. Told are the causes with what a walk
costs and how it ends for each, how far the route can be from the best, what it loses where the shares are
wrong, and how many minutes each check saves. That plans some twenty routes a tree, which takes seconds.

\b
Examples:
  diagnose trees report water-pump
  diagnose trees report water-pump --cases workshop.sqlite
  diagnose trees report water-pump heater-no-fire --html -o trees.html
"""


@click.command(help=HELP)
@click.argument("words", nargs=-1, required=True, metavar="ID ...")
@role_option("Whose causes and checks are told.")
@click.option(
    "--truths",
    type=click.IntRange(0, 1000),
    default=TRUTHS,
    show_default=True,
    metavar="N",
    help="Plan a route for so many other shares, to tell what is lost where the file's are wrong; 0: none.",
)
@html_options("plots")
@click.option(
    "--cases", "store", metavar="URL", help="Let the cases kept there count in the figures; else none do."
)
@trees_option
@json_option
def command(
    words: tuple[str, ...],
    role: Role,
    truths: int,
    as_html: bool,
    target: Path | None,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Report on trees."""
    check_html(as_html, target, as_json)
    reports = _reports(words, role, truths, store, folders)
    if as_json:
        from diagnose.reviewing.tree_report_document import as_document

        document = {"trees": [as_document(each) for each in reports]}
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
    elif as_html:
        _write_page(reports, target)
    else:
        from diagnose.terminal.tree_report_page import tree_report_page

        columns = shutil.get_terminal_size().columns
        click.echo("\n\n\n".join(tree_report_page(each, columns) for each in reports))


def _reports(
    words: tuple[str, ...], role: Role, truths: int, store: str | None, folders: tuple[Path, ...]
) -> list[TreeReport]:
    """One for each tree, each tree once; what is wrong with any of them is told before the first is made."""
    from diagnose.cli.cases.at_hand import library_at_hand
    from diagnose.terminal.mapping_progress import progress_shown

    library = library_at_hand(folders)
    trees = {tree.id: tree for tree in (library.tree(word) for word in words)}
    with progress_shown() as show:
        return [_report(tree, library, role, truths, store, show) for tree in trees.values()]


def _report(
    tree: Tree,
    library: Library,
    role: Role,
    truths: int,
    store: str | None,
    show: Callable[[str, float], None],
) -> TreeReport:
    from diagnose.cli.counted import tally_from
    from diagnose.cli.settings import read_settings
    from diagnose.reasoning.model import build_model
    from diagnose.reviewing.tree_report import tree_report
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import route_for

    settings = read_settings()
    tally = tally_from(tree, store, settings.half_life)
    others = frozenset(library.ids())
    models = {each: build_model(tree, each, settings, tally, others) for each in ROLES}
    routes = {each: route_for(models[each], cache_folder()) for each in ROLES}
    return tree_report(
        models, routes, role, truths, lambda done, of: show(f"Planning for {tree.id}", done / of)
    )


def _write_page(reports: list[TreeReport], target: Path | None) -> None:
    from datetime import UTC, datetime

    from diagnose.cli.output import write_out
    from diagnose.drawing.review_page import review_page
    from diagnose.drawing.tree_report_section import tree_report_section

    sections = [tree_report_section(each) for each in reports]
    page = review_page(sections, datetime.now(UTC).date(), "How good these trees are")
    if write_out(page, target):
        click.echo(f"Written: {target}")
