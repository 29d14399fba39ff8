"""`diagnose draw`: a symptom's fault tree or its route, as a picture, as DOT text or as JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from diagnose.cli.counted import tally_from
from diagnose.cli.options import trees_option
from diagnose.cli.output import write_out
from diagnose.terms import Role, Tree

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library

Form = Literal["svg", "dot", "json"]

HELP = """Draw the fault tree of a symptom, or with --route every step for every answer.

ID is a symptom's id (see: diagnose symptoms) or the path of a tree file. Pictures need the program dot of
Graphviz; DOT text and JSON need nothing.

\b
Examples:
  diagnose draw engine-no-crank -o tree.svg
  diagnose draw engine-no-crank --route -o route.svg
  diagnose draw engine-no-crank --route --format json
"""


@click.command(help=HELP)
@click.argument("word", metavar="ID")
@click.option("--route", is_flag=True, help="The compiled route instead of the fault tree.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["svg", "dot", "json"]),
    help="What to write; else by the ending of the file, else svg.",
)
@click.option(
    "--as",
    "role",
    type=click.Choice(["owner", "technician"]),
    default="owner",
    show_default=True,
    help="Whose route it is.",
)
@click.option(
    "--least",
    type=click.FloatRange(0, 1),
    default=0.03,
    show_default=True,
    metavar="SHARE",
    help="In a picture of a route, cut off branches that a smaller share of vehicles takes.",
)
@click.option(
    "-o",
    "target",
    type=click.Path(path_type=Path, dir_okay=False, allow_dash=True),
    help="The file to write; else standard output.",
)
@trees_option
@click.option(
    "--cases", "store", metavar="URL", help="Let the cases kept there count in the route; else none do."
)
def command(
    word: str,
    route: bool,
    form: Form | None,
    role: Role,
    least: float,
    target: Path | None,
    folders: tuple[Path, ...],
    store: str | None,
) -> None:
    """Draw the fault tree of a symptom or its route."""
    from diagnose.knowledge.collection import Library

    library = Library(folders)
    tree = library.tree(word)
    wanted: Form = form or _by_ending(target)
    text = _route(library, tree, role, wanted, least, store) if route else _fault_tree(tree, wanted)
    write_out(text if text.endswith("\n") else text + "\n", target)


def _by_ending(target: Path | None) -> Form:
    """The format that a file's name asks for."""
    endings: dict[str, Form] = {".dot": "dot", ".gv": "dot", ".json": "json"}
    return endings.get(target.suffix.lower(), "svg") if target is not None else "svg"


def _fault_tree(tree: Tree, form: Form) -> str:
    if form == "json":
        from networkx import node_link_data

        from diagnose.knowledge.fault_graph import fault_graph

        return _as_json(node_link_data(fault_graph(tree), edges="edges"))
    from diagnose.drawing.fault_tree import fault_tree_dot

    return _picture(fault_tree_dot(tree), form)


def _route(library: Library, tree: Tree, role: Role, form: Form, least: float, store: str | None) -> str:
    from diagnose.cli.settings import read_settings
    from diagnose.drawing.route import route_dot, route_json
    from diagnose.reasoning.graph import route_graph
    from diagnose.reasoning.model import build_model
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import route_for

    settings = read_settings()
    tally = tally_from(tree, store, settings.half_life)
    model = build_model(tree, role, settings, tally, other_trees=frozenset(library.ids()))
    graph = route_graph(route_for(model, cache_folder()), model)
    if form == "json":
        return _as_json(route_json(graph))
    return _picture(route_dot(graph, tree, least), form)


def _picture(dot_text: str, form: Form) -> str:
    if form == "dot":
        return dot_text
    from diagnose.drawing.rendering import svg

    return svg(dot_text)


def _as_json(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, indent=1)
