"""`diagnose cases score`: how good the ranking has been on past cases."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.cases.at_hand import folders_at_hand, kept_store
from diagnose.cli.dates import any_day, start_of
from diagnose.cli.options import cases_option, check_html, html_options, json_option, trees_option
from diagnose.terms import Tree

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library
    from diagnose.reviewing.scoring import Review

TOLD_EVERY = 100
"""After so many cases the bar moves."""

HELP = """Show how good the ranking has been on the cases that were confirmed.

Every case is ranked again as it could have been ranked on its day, from its own answers and the cases known
before it, and then compared with what it turned out to be: how often the true cause was in front, whether a
share can be taken at its word, whether learning from past cases helped, and what walks cost against what was
expected of them. Each figure has its interval, beside what the files alone would have said.

ID is a symptom's id or the path of a tree file; without one all are scored. Nothing is changed.

\b
Examples:
  diagnose cases score
  diagnose cases score water-pump --since 2026-01-01
  diagnose cases score --html -o score.html
"""


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[ID ...]")
@click.option(
    "--since",
    type=any_day,
    metavar="DATE",
    help="Score only what was confirmed on this day or later; earlier cases are still learned from.",
)
@html_options("curves")
@cases_option
@trees_option
@json_option
def command(
    words: tuple[str, ...],
    since: date | None,
    as_html: bool,
    target: Path | None,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Score the ranking on past cases."""
    check_html(as_html, target, as_json)
    found = review_at_hand(words, since, store, folders)
    if as_json:
        from diagnose.reviewing.score_document import as_document

        click.echo(json.dumps(as_document(found), ensure_ascii=False, indent=2))
    elif as_html:
        write_page(_page(found, words, since, store, folders), target)
    else:
        from diagnose.terminal.score_page import score_page

        click.echo(score_page(found, shutil.get_terminal_size().columns))


def _page(
    found: Review, words: tuple[str, ...], since: date | None, place: str | None, folders: tuple[Path, ...]
) -> str:
    """The scores, and the trends of the same cases where they are of one symptom or of all."""
    from diagnose.cli.cases.trends import WITHIN_MONTHS, trends_at_hand
    from diagnose.drawing.review_page import review_page
    from diagnose.drawing.score_section import score_section
    from diagnose.drawing.trends_section import trends_section

    sections = [score_section(found)]
    named = [each.symptom for each in found.trees]
    if found.trees and (not words or len(named) == 1):
        only = named[0] if words else None
        trends = trends_at_hand(only, None, since, None, WITHIN_MONTHS, place, folders)
        sections.append(trends_section(trends))
    return review_page(sections, datetime.now(UTC).date())


def review_at_hand(
    words: tuple[str, ...], since: date | None, place: str | None, folders: tuple[Path, ...]
) -> Review:
    """The scores of the store; of nothing where it is not there yet."""
    from diagnose.cli.settings import read_settings
    from diagnose.knowledge.collection import Library
    from diagnose.reviewing.scoring import Review, Wanted, review
    from diagnose.terminal.mapping_progress import progress_shown
    from diagnose.walking.places import cache_folder

    library = Library(folders_at_hand(folders))
    named = _trees_named(library, words)
    wanted = Wanted(
        tree_of=lambda symptom: named[symptom] if symptom in named else library.tree(symptom),
        settings=read_settings(),
        symptoms=tuple(named),
        since=start_of(since) if since is not None else None,
        other_trees=frozenset(library.ids()),
        cache=cache_folder(),
    )
    with kept_store(place) as kept:
        if kept is None:
            return Review(wanted.since, None, (), (), ())
        with progress_shown() as show:

            def told(done: int, of: int) -> None:
                if done % TOLD_EVERY == 0 or done == of:
                    show("Scoring past cases", done / of)

            return review(kept, wanted, told)


def _trees_named(library: Library, words: tuple[str, ...]) -> dict[str, Tree]:
    """The trees that were asked for, by id; raises what is wrong with one."""
    trees = [library.tree(word) for word in dict.fromkeys(words)]
    return {tree.id: tree for tree in trees}


def write_page(text: str, target: Path | None) -> None:
    """To the file, which is named then, or to standard output; raises DiagnoseError where it cannot be."""
    from diagnose.cli.output import write_out

    if write_out(text, target):
        click.echo(f"Written: {target}")
