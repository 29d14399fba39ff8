"""`diagnose draw`: a symptom's fault tree or its route, as a picture, as DOT text or as JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from diagnose.cli.counted import tally_from
from diagnose.cli.drawn_case import learned_from, marks_of, record_of
from diagnose.cli.options import trees_option
from diagnose.cli.output import unknown_ending, write_made, write_out
from diagnose.cli.shares import said, share_of
from diagnose.terms import Role, Tree, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.drawing.case_marks import Marks
    from diagnose.drawing.learned import Learned
    from diagnose.drawing.paper import Paper
    from diagnose.drawing.rendering import Picture
    from diagnose.knowledge.collection import Library

Form = Literal["svg", "pdf", "png", "dot", "json"]
ENDINGS: dict[str, Form] = {
    ".svg": "svg",
    ".pdf": "pdf",
    ".png": "png",
    ".dot": "dot",
    ".gv": "dot",
    ".json": "json",
}

HELP = """Draw the fault tree of a symptom, or with --route its questions and remedies as a flow chart.

ID is a symptom's id (see: diagnose symptoms) or the path of a tree file. Pictures need the program dot of
Graphviz; DOT text and JSON need nothing.

\b
Examples:
  diagnose draw engine-no-crank -o tree.svg
  diagnose draw engine-no-crank --paper a4 -o handout.pdf
  diagnose draw engine-no-crank --down-to 5% -o short.png
  diagnose draw engine-no-crank --cases fleet.sqlite -o ours.svg
  diagnose draw engine-no-crank --route -o route.svg
  diagnose draw engine-no-crank --route --paper a4 -o route.pdf
  diagnose draw engine-no-crank --route --case 12 -o case.svg
  diagnose draw engine-no-crank --route --format json
"""


@dataclass(frozen=True, slots=True)
class Drawing:
    """What can be drawn of a tree, each part made when it is asked for; shares are of 1."""

    dot_at: Callable[[float], str]
    """The DOT text with everything rarer folded."""
    pages_at: Callable[[float, Paper], list[str]]
    """The same as DOT texts that can be read on sheets of that paper."""
    data: Callable[[], object]
    """Node-link data of the whole."""
    down_to: float
    """What is folded unless somebody says otherwise."""


@click.command(help=HELP)
@click.argument("word", metavar="ID")
@click.option("--route", is_flag=True, help="The compiled route instead of the fault tree.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["svg", "pdf", "png", "dot", "json"]),
    help="What to write; else by the ending of the file, else svg.",
)
@click.option(
    "--as",
    "role",
    type=click.Choice(["owner", "technician"]),
    help="With --route: whose route it is. [default: owner, or who walked CASE]",
)
@click.option(
    "--down-to",
    callback=share_of,
    metavar="SHARE",
    help="Fold what is rarer than this share of the vehicles, such as 2% or 0.02, to boxes that say so. "
    "[default: 0 for the fault tree, 2% for a route]",
)
@click.option(
    "--danger-in-full",
    is_flag=True,
    help="In a route, each danger question as a step of its own instead of all in one box.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "a3"]),
    help="A PDF of pages that can be read at arm's length, as many as it takes.",
)
@click.option(
    "-o",
    "target",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The file to write; else text goes to standard output, PDF and PNG to a file named after the id.",
)
@trees_option
@click.option(
    "--case",
    "number",
    type=int,
    metavar="CASE",
    help="Mark what this case found and tried, on a route its way; `diagnose cases list` tells the number.",
)
@click.option(
    "--cases",
    "store",
    metavar="URL",
    help="Let the cases kept there count in the shares or the route, else none do; and look for CASE there.",
)
def command(
    word: str,
    route: bool,
    form: Form | None,
    role: Role | None,
    down_to: float | None,
    danger_in_full: bool,
    paper: Paper | None,
    target: Path | None,
    folders: tuple[Path, ...],
    number: int | None,
    store: str | None,
) -> None:
    """Draw the fault tree of a symptom or its route."""
    from diagnose.knowledge.collection import Library

    wanted = _form(form, target, paper)
    if danger_in_full and not route:
        raise WrongUsage("--danger-in-full goes with --route: a fault tree holds no danger questions")
    if wanted == "json" and (down_to is not None or danger_in_full or number is not None):
        raise WrongUsage(
            "JSON holds the whole, so leave out --down-to, --danger-in-full and --case, or make a picture"
        )
    if role is not None and not route:
        raise WrongUsage("--as goes with --route: a fault tree is the same for everybody")
    library = Library(folders)
    tree = library.tree(word)
    if route:
        record = record_of(tree, number, store)
        drawing = _route(library, tree, role, store, record, danger_in_full)
    else:
        drawing = _fault_tree(
            tree, marks_of(tree, number, store, library), learned_from(tree, store, library)
        )
    least = drawing.down_to if down_to is None else down_to
    name = f"{tree.id}-route" if route else tree.id
    if wanted == "json":
        write_out(json.dumps(drawing.data(), ensure_ascii=False, indent=1) + "\n", target)
    elif wanted == "dot":
        write_out(drawing.dot_at(least), target)
    else:
        content = _picture(drawing, wanted, least, paper)
        if wanted == "svg" and target is None:
            write_out(content.decode(), None)
        else:
            write_made(content, target, f"{name}.{wanted}")


def _form(form: Form | None, target: Path | None, paper: Paper | None) -> Form:
    """The format that was asked for, by name or by the file's ending. Raises WrongUsage."""
    wanted = form
    if wanted is None and target is not None and str(target) != "-":
        wanted = ENDINGS.get(target.suffix.lower())
        if wanted is None:
            raise WrongUsage(unknown_ending(target, ENDINGS))
    if paper is not None and wanted not in (None, "pdf"):
        raise WrongUsage(f"--paper makes pages, which is a PDF and no {wanted}: leave one of them out")
    return wanted or ("pdf" if paper is not None else "svg")


def _picture(drawing: Drawing, form: Picture, down_to: float, paper: Paper | None) -> bytes:
    """The picture's bytes; says on stderr if more had to be folded than was asked for."""
    from diagnose.drawing.rendering import folded_until_drawn, pages_pdf, rendered

    def draw(share: float) -> bytes:
        if paper is None:
            return rendered(drawing.dot_at(share), form)
        return pages_pdf(drawing.pages_at(share, paper), paper)

    content, used = folded_until_drawn(draw, down_to)
    if used > down_to:
        click.echo(
            f"This is too much for one drawing, so what is rarer than {said(used)} was folded. "
            f"--down-to {said(used)} draws this at once.",
            err=True,
        )
    return content


def _fault_tree(tree: Tree, case: Marks, past: Learned) -> Drawing:
    from diagnose.drawing.branches import told_of_events
    from diagnose.drawing.fault_tree import fault_tree_dot
    from diagnose.drawing.fault_tree_pages import fault_tree_pages

    def data() -> object:
        from networkx import node_link_data

        from diagnose.knowledge.fault_graph import fault_graph

        graph = fault_graph(tree)
        if past.asked:
            graph.graph["cases"] = past.total
            for id, told in told_of_events(tree, past).items():
                graph.nodes[id].update(told)
        return node_link_data(graph, edges="edges")

    return Drawing(
        dot_at=lambda share: fault_tree_dot(tree, share, case, past),
        pages_at=lambda share, paper: fault_tree_pages(tree, paper, share, case, past),
        data=data,
        down_to=0.0,
    )


def _route(
    library: Library,
    tree: Tree,
    role: Role | None,
    store: str | None,
    record: CaseRecord | None,
    danger_in_full: bool,
) -> Drawing:
    from diagnose.cli.settings import read_settings
    from diagnose.drawing.route import LEAST_SHARE, route_dot, route_json, route_pages
    from diagnose.drawing.route_walk import followed
    from diagnose.reasoning.graph import route_graph
    from diagnose.reasoning.model import build_model
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import route_for

    settings = read_settings()
    tally = tally_from(tree, store, settings.half_life)
    whose = role or (record.role if record is not None else "owner")
    model = build_model(tree, whose, settings, tally, other_trees=frozenset(library.ids()))
    graph = route_graph(route_for(model, cache_folder()), model)
    walk = followed(graph, tree, record) if record is not None else None

    def dot_at(share: float) -> str:
        return route_dot(graph, tree, share, walk=walk, danger_in_full=danger_in_full)

    def pages_at(share: float, paper: Paper) -> list[str]:
        return route_pages(graph, tree, paper, share, walk=walk, danger_in_full=danger_in_full)

    return Drawing(dot_at, pages_at, data=lambda: route_json(graph), down_to=LEAST_SHARE)
