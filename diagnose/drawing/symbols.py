"""Symbols that the drawing program does not have, drawn over its finished layout.

A node with the class `any-of` or `all-of` becomes the OR or the AND gate in its distinctive shape, lying with
the output to the left; as plain DOT text it stays a box with the sign of IEC 60617-12, which IEC 61025 allows
as well. In a node with the class `hazard` a triangle with an exclamation mark is drawn before the line that
begins with the word HAZARD; in one with the class `key` small symbols are drawn before the lines that begin
with their names. What such a node is filled with would hide them: the shapes are laid beneath the nodes, as
the graph's background, in the drawing language of `dot` (xdot).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

ANY_OF, ALL_OF, HAZARD, KEY = "any-of", "all-of", "hazard", "key"
MARK = "class="
"""Stands in every DOT text that has a node with a symbol of its own."""
HAZARD_WORD = "HAZARD"
INDENT = "\N{NO-BREAK SPACE}" * 6
"""Stands before the word HAZARD and leaves room for the triangle."""
Point = tuple[float, float]
Outline = Callable[[float, float, float, float], list[Point]]
"""Left, right, middle and half the height of a box -> the points of a closed piecewise cubic in it."""
_YELLOW = "#ffe680"
_ROUND = 0.5523
"""How far the handles of a quarter circle's curve reach, in radii."""
_LONGEST = 8000
"""Characters of a string; the program takes 16384 at most (its messages say so)."""
_BEND = 8.0
"""Points between a gate and where its lines turn."""
_DEPTH = 0.16
"""How far the back of an OR gate is hollow, in its widths."""


def with_symbols(dot_text: str, placed: dict[str, Any]) -> str:
    """The text with everything fixed where the layout put it, and the symbols drawn there.

    `placed` is what the program writes as JSON for that text, which must be of a strict graph.
    """
    nodes = placed.get("objects", [])
    fixed = [_statement(_quoted(node["name"]), _fixed(node)) for node in nodes]
    for edge in placed.get("edges", []):
        tail, head = nodes[edge["tail"]], nodes[edge["head"]]
        keep = {key: edge[key] for key in ("pos", "lp", "head_lp", "tail_lp", "xlp") if key in edge}
        if _is_gate(tail) or _is_gate(head):
            keep["pos"] = _elbow(tail, head)
        fixed.append(_statement(f"{_quoted(tail['name'])} -> {_quoted(head['name'])}", keep))
    drawn = " ".join(shape for node in nodes for shape in _shapes(node))
    fixed.append(_statement("graph", {"_background": drawn}))
    return dot_text.rstrip().removesuffix("}") + "".join(fixed) + "}\n"


def _fixed(node: dict[str, Any]) -> dict[str, str]:
    return {"pos": node["pos"]} | ({"style": "invis"} if _is_gate(node) else {})


def _is_gate(node: dict[str, Any]) -> bool:
    return node.get("class") in (ANY_OF, ALL_OF)


def _statement(what: str, attributes: dict[str, str]) -> str:
    return f"\t{what} [{' '.join(f'{key}={_quoted(value)}' for key, value in attributes.items())}]\n"


def _quoted(text: str) -> str:
    """A string of the DOT language; a long one in pieces, since the program refuses one that is too long."""
    pieces = [text[at : at + _LONGEST] for at in range(0, len(text), _LONGEST)] or [""]
    return " + ".join('"' + piece.replace('"', '\\"') + '"' for piece in pieces)


def _box(node: dict[str, Any]) -> tuple[float, float, float, float]:
    """Left, right, middle and half the height of a node, in points."""
    x, y = (float(each) for each in node["pos"].split(","))
    half = float(node["width"]) * 36
    return x - half, x + half, y, float(node["height"]) * 36


def _elbow(tail: dict[str, Any], head: dict[str, Any]) -> str:
    """A line to or from a gate with square corners, as a spline."""
    _, right, middle, _ = _box(tail)
    start = right - 0.75 * _DEPTH * float(tail["width"]) * 72 if tail.get("class") == ANY_OF else right
    left, _, there, _ = _box(head)
    bend = right + _BEND
    corners = [(start, middle), (bend, middle), (bend, there), (left, there)]
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in _straight(corners))


def _straight(corners: list[Point]) -> list[Point]:
    """Points of a piecewise cubic that runs straight from corner to corner."""
    points = [corners[0]]
    for before, after in pairwise(corners):
        points += [before, after, after]
    return points


def _shapes(node: dict[str, Any]) -> Iterator[str]:
    if _is_gate(node):
        left, right, middle, half = _box(node)
        outline, sign = OUTLINES[node["class"]](left, right, middle, half), SIGNS[node["class"]]
        yield _outlined(outline) + _text(sign, (left + right) / 2 + 1, middle - 3.8, 11)
    elif node.get("class") in (HAZARD, KEY):
        for line in node.get("_ldraw_", ()):
            text = line.get("text", "")
            if text.startswith(INDENT):
                yield from _before(line, text.removeprefix(INDENT), node["class"])


def _before(line: dict[str, Any], text: str, node_class: str) -> Iterator[str]:
    """The symbol in the room before a line's first letter: of a hazard, or of what a key explains."""
    x, y = line["pt"]
    left = x + {"c": -0.5, "l": 0.0, "r": -1.0}[line["align"]] * line["width"]
    box = (left, left + 13, y + 3.2, 5.3)
    if text.startswith(HAZARD_WORD):
        yield _outlined(_triangle(*box), _YELLOW) + _text("!", left + 6.5, y - 0.6, 8)
    elif node_class == KEY:
        yield from (_outlined(draw(*box)) for word, draw in KEY_OUTLINES.items() if text.startswith(word))


def _or_outline(left: float, right: float, middle: float, half: float) -> list[Point]:
    """Pointed at the output, hollow at the inputs."""
    width = right - left
    top, bottom, hollow = middle + half, middle - half, right - _DEPTH * width
    return [
        (left, middle),
        (left + 0.2 * width, middle + 0.75 * half),
        (left + 0.5 * width, top),
        (right, top),
        (hollow, middle + half / 2),
        (hollow, middle - half / 2),
        (right, bottom),
        (left + 0.5 * width, bottom),
        (left + 0.2 * width, middle - 0.75 * half),
        (left, middle),
    ]


def _and_outline(left: float, right: float, middle: float, half: float) -> list[Point]:
    """Round at the output, flat at the inputs."""
    top, bottom, turn = middle + half, middle - half, left + half
    handle = _ROUND * half
    return [
        *_straight([(turn, bottom), (right, bottom), (right, top), (turn, top)]),
        (turn - handle, top),
        (left, middle + handle),
        (left, middle),
        (left, middle - handle),
        (turn - handle, bottom),
        (turn, bottom),
    ]


def _triangle(left: float, right: float, middle: float, half: float) -> list[Point]:
    """Standing on one side (ISO 7010 W001 for a hazard; the transfer symbol of IEC 61025)."""
    corners = [(left, middle - half), (right, middle - half), ((left + right) / 2, middle + half)]
    return _straight([*corners, corners[0]])


def _diamond(left: float, right: float, middle: float, half: float) -> list[Point]:
    centre = (left + right) / 2
    corners = [(left, middle), (centre, middle + half), (right, middle), (centre, middle - half)]
    return _straight([*corners, corners[0]])


def _circle(left: float, right: float, middle: float, half: float) -> list[Point]:
    """Of the height of the box, in its middle."""
    centre, handle = (left + right) / 2, _ROUND * half
    quarters = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    points = [(centre + half, middle)]
    for (x, y), (to_x, to_y) in pairwise([*quarters, quarters[0]]):
        points += [
            (centre + half * x + handle * to_x, middle + half * y + handle * to_y),
            (centre + half * to_x + handle * x, middle + half * to_y + handle * y),
            (centre + half * to_x, middle + half * to_y),
        ]
    return points


OUTLINES: dict[str, Outline] = {ANY_OF: _or_outline, ALL_OF: _and_outline}
SIGNS = {ANY_OF: "≥1", ALL_OF: "&"}
"""The signs of IEC 60617-12 for the two gates."""
KEY_OUTLINES: dict[str, Outline] = {
    "OR gate": _or_outline,
    "AND gate": _and_outline,
    "Circle": _circle,
    "Diamond": _diamond,
    "Triangle": _triangle,
}
"""First words of a key's line, and what is drawn before them."""


def _outlined(points: list[Point], fill: str = "#ffffff") -> str:
    """A closed curve of cubics with a black line."""
    listed = " ".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return f"S 15 -setlinewidth(1) c 7 -#000000 C {len(fill)} -{fill} b {len(points)} {listed} "


def _text(text: str, x: float, y: float, size: float) -> str:
    font = "Helvetica-Bold"
    return f"F {size:g} {len(font)} -{font} c 7 -#000000 T {x:.2f} {y:.2f} 0 20 {len(text.encode())} -{text}"
