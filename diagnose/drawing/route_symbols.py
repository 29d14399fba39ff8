"""The symbols of ISO 5807 for the steps and ends of a route, as nodes of DOT text.

From memory of the standard: decision (diamond), manual operation (its upper side longer), process (box),
predefined process (box with doubled sides), terminator (rounded), connector (circle), comment (open bracket
on a broken line) and the three dots of an omission. Questions are long, and a diamond around a long text is
huge: so a small diamond bears the step's number, and the question stands in a comment bracket beside it.
Whatever is read in a label is untrusted text, and is written so that it shows as it is.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from itertools import pairwise

import graphviz

from diagnose.drawing.labels import wrapped
from diagnose.drawing.symbols import HAZARD

TYPE = 10.0
"""Size of the type in points, in every symbol and along every line."""
FONT = {"fontname": "Helvetica,Arial,sans-serif", "fontsize": f"{TYPE:g}"}
DOTS = "···"
ARROW = 7.0
"""How long a line's arrowhead is."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of type."""

    text: str
    bold: bool = False


Rows = tuple[Row, ...]
SPACE = Row("")
"""A little room between two lines: the triangle of a hazard is higher than its type."""


def rows(text: str, width: int, bold: bool = False) -> Rows:
    """The text in lines of at most `width` letters; nothing for no text."""
    return tuple(Row(line, bold) for line in wrapped(text, width)) if text else ()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something stands: its middle and its size, in points, upwards from the foot of the drawing."""

    x: float
    y: float
    width: float
    height: float

    def attributes(self) -> dict[str, str]:
        """The same for a node; the program makes it larger if its type turns out to need that."""
        return {
            "width": f"{self.width / 72:.3f}",
            "height": f"{self.height / 72:.3f}",
            "pos": _at(self.x, self.y),
        }


Point = tuple[float, float]


def blank(caption: Rows) -> graphviz.Digraph:
    """An empty chart with its caption below; everything in it says itself where it stands (layout nop2)."""
    return graphviz.Digraph(
        strict=True,
        graph_attr=FONT
        | {"layout": "nop2", "bgcolor": "white"}
        | {"label": f"<{_set(caption)}>", "labelloc": "b", "labeljust": "l"},
        node_attr=FONT | {"shape": "box", "margin": "0.08,0.04"},
        edge_attr=FONT | {"arrowsize": "0.7"},
    )


def _set(text: Rows) -> str:
    """Lines of an HTML-like label, flush left."""
    return "".join(_line(row) + '<BR ALIGN="LEFT"/>' for row in text)


def _line(row: Row) -> str:
    if row == SPACE:
        return '<FONT POINT-SIZE="3"> </FONT>'
    return _bold(row.text) if row.bold else _plain(row.text)


def _plain(text: str) -> str:
    """The text for an HTML-like label, in which dot reads marks, entities and its own backslashes."""
    return html.escape(text).replace("\\", "\\\\")


def _bold(text: str) -> str:
    return f"<B>{_plain(text)}</B>"


def _cell(inside: str, **attributes: object) -> str:
    said = "".join(f' {name}="{value}"' for name, value in attributes.items())
    return f"<TD{said}>{inside}</TD>"


def _table(*lines: str, **attributes: object) -> str:
    """A table whose cells have no borders of their own."""
    said = "".join(f' {name}="{value}"' for name, value in ({"CELLBORDER": 0} | attributes).items())
    return f"<TABLE{said}>{''.join(f'<TR>{line}</TR>' for line in lines)}</TABLE>"


def _at(x: float, y: float) -> str:
    return f"{x:.1f},{y:.1f}"


def add_start(drawn: graphviz.Digraph, name: str, text: Rows, spot: Spot) -> None:
    """The terminator at which the chart begins."""
    drawn.node(name, f"<{_set(text)}>", style="rounded", **spot.attributes())


def add_question(
    drawn: graphviz.Digraph,
    name: str,
    number: int,
    text: Rows,
    symbol: Spot,
    bracket: Spot,
    away: float,
    *,
    hazard: bool = False,
    walked: bool = False,
    measures: bool = False,
) -> None:
    """A decision, or a manual operation that measures; its question in a bracket `away` from it."""
    shape = {"shape": "invtrapezium" if measures else "diamond", "fixedsize": "true"} | symbol.attributes()
    shape |= {"peripheries": "2"} if hazard else {}
    shape |= {"style": "filled", "fillcolor": "black", "fontcolor": "white"} if walked else {}
    drawn.node(name, f"<{_bold(str(number))}>", **shape)
    comment = _table(_cell(_set(text), SIDES="LTB", BORDER=1, ALIGN="LEFT"), BORDER=0, CELLPADDING=3)
    marked = {"class": HAZARD} if hazard else {}
    drawn.node(f"{name}t", f"<{comment}>", shape="plain", **bracket.attributes(), **marked)
    edge = bracket.x - bracket.width / 2
    across = [(edge - away, symbol.y), (edge, symbol.y)]
    drawn.edge(name, f"{name}t", style="dashed", arrowhead="none", pos=_straight(across))


def add_remedy(
    drawn: graphviz.Digraph,
    name: str,
    number: int,
    text: Rows,
    spot: Spot,
    *,
    hazard: bool = False,
    walked: bool = False,
) -> None:
    """A process; under a hazard its border is double."""
    table = _table(
        _number(number, walked) + _cell(_set(text), ALIGN="LEFT"), BORDER=0, CELLPADDING=2, CELLSPACING=1
    )
    double = {"peripheries": "2", "class": HAZARD} if hazard else {}
    drawn.node(name, f"<{table}>", **(spot.attributes() | {"margin": "0.02,0.01"} | double))


def add_block(
    drawn: graphviz.Digraph, name: str, title: Rows, questions: list[tuple[int, Rows, bool]], spot: Spot
) -> None:
    """A predefined process that holds several questions, each with its number and whether it was walked."""
    listed = [_number(number, walked) + _cell(_set(text), ALIGN="LEFT") for number, text, walked in questions]
    inner = _table(_cell(_set(title), COLSPAN=2, ALIGN="LEFT"), *listed, BORDER=0, CELLPADDING=2)
    left, right = (_cell("", SIDES=side, BORDER=1, WIDTH=8) for side in "RL")
    outer = _table(left + _cell(inner) + right, BORDER=1, CELLSPACING=0, CELLPADDING=1)
    drawn.node(name, f"<{outer}>", shape="plain", **spot.attributes())


def _number(number: int, walked: bool) -> str:
    """A step's number in a cell; white on black where a case came by."""
    if walked:
        return _cell(f'<FONT COLOR="white">{_bold(str(number))}</FONT>', BGCOLOR="black")
    return _cell(_bold(str(number)), VALIGN="TOP")


def add_end(
    drawn: graphviz.Digraph, name: str, text: Rows, spot: Spot, *, stop: bool = False, walked: bool = False
) -> None:
    """A terminator; a stop's border is double, and where a case ended it is heavy."""
    more = {"peripheries": "2"} if stop else {}
    more |= {"penwidth": "4"} if walked else {}
    drawn.node(name, f"<{_set(text)}>", style="rounded", **spot.attributes(), **more)


def add_fold(drawn: graphviz.Digraph, name: str, text: Rows, spot: Spot) -> None:
    """The dots of an omission, with what is left out."""
    said = " ".join(_plain(row.text) for row in text)
    drawn.node(name, f"<{_bold(DOTS)} {said}>", **(spot.attributes() | {"shape": "plaintext", "margin": "0"}))


def add_connector(drawn: graphviz.Digraph, name: str, text: Rows, spot: Spot) -> None:
    """A circle with the number of the step at which the chart goes on."""
    said = "<BR/>".join(_line(row) for row in text)
    drawn.node(
        name, f"<{said}>", **(spot.attributes() | {"shape": "circle", "margin": "0", "fixedsize": "true"})
    )


def add_line(
    drawn: graphviz.Digraph,
    tail: str,
    head: str,
    corners: list[Point],
    share: float,
    text: Rows = (),
    label: Spot | None = None,
    *,
    walked: bool | None = None,
) -> None:
    """A line from corner to corner with what is written along it; the wider, the more vehicles go along it.

    With a case, the line that was walked is the heaviest by far; `walked` is then true or false, else None.
    """
    width = 0.6 + 5 * share if walked is None else 6.0 if walked else 0.6 + share
    end = corners[-1]
    path = f"e,{_at(*end)} {_straight([*corners[:-1], (end[0], end[1] + ARROW)])}"
    said = {}
    if label is not None:
        cell = _cell(_set(text), ALIGN="LEFT", WIDTH=round(label.width))
        table = _table(cell, BORDER=0, CELLPADDING=0, CELLSPACING=0)
        said = {"label": f"<{table}>", "lp": _at(label.x, label.y)}
    drawn.edge(tail, head, penwidth=f"{width:.2f}", pos=path, **said)


def _straight(corners: list[Point]) -> str:
    """A piecewise cubic that runs straight from corner to corner, as the program takes it."""
    points = [corners[0]]
    for before, after in pairwise(corners):
        points += [before, after, after]
    return " ".join(_at(*point) for point in points)
