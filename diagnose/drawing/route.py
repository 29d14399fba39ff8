"""A compiled route as a flow chart, in the symbols of ISO 5807, and as node-link JSON.

Made for a class: the likely part of the route, its steps numbered in the order in which they are read, the
main line straight down. A step is drawn once; every further line to it ends in a circle with its number, so
that no line crosses another. See `route_chart` (what is drawn), `route_layout` and `route_sheets` (where),
and `route_symbols` (how).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from diagnose.drawing.paper import MARGIN, POINTS, SHEETS, Paper
from diagnose.drawing.route_chart import LEAST_SHARE, route_chart
from diagnose.drawing.route_dot import SheetDrawing
from diagnose.drawing.route_key import Key, height
from diagnose.drawing.route_layout import Cutting, Room
from diagnose.drawing.route_sheets import Sheet, on_sheets, pages_by_step
from diagnose.drawing.route_sizes import RIM, Sizes
from diagnose.drawing.route_symbols import Rows
from diagnose.drawing.route_texts import Texts
from diagnose.drawing.route_walk import Walk
from diagnose.terms import Tree

if TYPE_CHECKING:
    from networkx import MultiDiGraph

__all__ = ["LEAST_SHARE", "route_dot", "route_json", "route_pages"]
SCREEN = 1080.0
"""How wide a picture is that is not made for paper, in points."""
SMALLEST = 0.92
"""How much a page may be reduced: type of ten points stays above nine."""
PAD = 4.0
"""The drawing program leaves that free on every side."""


def route_json(graph: MultiDiGraph[int]) -> dict[str, Any]:
    """The route as networkx node-link data, its names being those of networkx (`nodes`, `edges`)."""
    from networkx import node_link_data

    data: dict[str, Any] = node_link_data(graph, edges="edges")
    return data


def route_dot(
    graph: MultiDiGraph[int],
    tree: Tree,
    down_to: float = LEAST_SHARE,
    *,
    walk: Walk | None = None,
    danger_in_full: bool = False,
) -> str:
    """The DOT text of a route in one drawing, of which what fewer vehicles than `down_to` come by is folded.

    `walk` is a case that is marked in it, drawn whole however improbable; with `danger_in_full` the danger
    questions are steps as others are, instead of one block.
    """
    sizes, key = _sized(graph, tree, down_to, walk, danger_in_full)
    start = sizes.texts.chart.steps[0].at
    (sheet,) = on_sheets(Cutting(sizes, SCREEN), start, [Room(SCREEN, float("inf"))])
    last = key.last(cut=sum(map(len, sheet.bands)) > 1)
    return SheetDrawing(sizes, sheet).dot((*key.title(), *key.first(), *last))


def route_pages(
    graph: MultiDiGraph[int],
    tree: Tree,
    paper: Paper,
    down_to: float = LEAST_SHARE,
    *,
    walk: Walk | None = None,
    danger_in_full: bool = False,
) -> list[str]:
    """The same as DOT texts that each can be read on a sheet of paper; one of the last explains
    the symbols.
    """
    sizes, key = _sized(graph, tree, down_to, walk, danger_in_full)
    first = (*key.title(1, 1), *key.first())
    narrow = min(room.width for room in _rooms(paper))
    start = sizes.texts.chart.steps[0].at
    rooms = _rooms(paper, height(key.title(2, 2)))
    sheets = on_sheets(Cutting(sizes, narrow), start, rooms, _rooms(paper, height(first)))
    last = key.last(cut=sum(len(band) for sheet in sheets for band in sheet.bands) > 1)

    def has_room(page: int) -> bool:
        above = first if page == 1 else key.title(page, page)
        return any(sheets[page - 1].fits_in(room) for room in _rooms(paper, height((*above, *last))))

    explained = next((page for page in range(len(sheets), 0, -1) if has_room(page)), len(sheets) + 1)
    if explained > len(sheets):
        sheets.append(Sheet(sheets[-1].room))
    pages = pages_by_step(sheets)

    def caption(page: int) -> Rows:
        opening = key.first() if page == 1 else ()
        return (*key.title(page, len(sheets)), *opening, *(last if page == explained else ()))

    return [SheetDrawing(sizes, sheet, pages).dot(caption(page)) for page, sheet in enumerate(sheets, 1)]


def _sized(
    graph: MultiDiGraph[int], tree: Tree, down_to: float, walk: Walk | None, danger_in_full: bool
) -> tuple[Sizes, Key]:
    ways = walk.walked.ways if walk is not None else ()
    chart = route_chart(graph, tree, down_to, walked=ways, danger_in_full=danger_in_full)
    texts = Texts(chart, graph, tree, walk.walked if walk is not None else None)
    return Sizes(texts), Key(texts, down_to, walk.notes(chart) if walk is not None else ())


def _rooms(paper: Paper, caption: float = 0.0) -> list[Room]:
    """What a sheet has room for upright and lying, above a caption."""
    sides = [(side - 2 * MARGIN) * POINTS / SMALLEST - 2 * (PAD + RIM) for side in SHEETS[paper]]
    return [Room(width, tall - caption) for width, tall in (sides, sides[::-1])]
