"""Symbols that the drawing program does not have, drawn over its finished layout.

A node with the class `any-of` or `all-of` becomes the OR or the AND gate in its distinctive shape, lying with
the output to the left; as plain DOT text it stays a box with the sign of IEC 60617-12, which IEC 61025 allows
as well. In a node with the class `hazard` a triangle with an exclamation mark is drawn before the line that
begins with the word HAZARD; the class leaves the border alone.

The shapes are laid beneath the nodes as the graph's background, in the drawing language of `dot` (xdot).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

ANY_OF, ALL_OF, HAZARD = "any-of", "all-of", "hazard"
MARK = "class="
"""Stands in every DOT text that has a node with a symbol of its own."""
HAZARD_WORD = "HAZARD"
INDENT = "\N{NO-BREAK SPACE}" * 5
"""Stands before the word HAZARD and leaves room for the triangle."""
Point = tuple[float, float]
_ROUND = 0.5523
"""How far the handles of a quarter circle's curve reach, in radii."""
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
        if _is_gate(tail):
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
    return '"' + text.replace('"', '\\"') + '"'


def _box(node: dict[str, Any]) -> tuple[float, float, float, float]:
    """Left, right, middle and half the height of a node, in points."""
    x, y = (float(each) for each in node["pos"].split(","))
    half = float(node["width"]) * 36
    return x - half, x + half, y, float(node["height"]) * 36


def _elbow(gate: dict[str, Any], below: dict[str, Any]) -> str:
    """A line from the gate's inputs to what is below it, with square corners, as a spline."""
    _, right, middle, _ = _box(gate)
    start = right - 0.75 * _DEPTH * float(gate["width"]) * 72 if gate["class"] == ANY_OF else right
    left, _, there, _ = _box(below)
    bend = right + 12
    corners = [(start, middle), (bend, middle), (bend, there), (left, there)]
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in _straight(corners))


def _straight(corners: list[Point]) -> list[Point]:
    """Points of a piecewise cubic that runs straight from corner to corner."""
    points = [corners[0]]
    for before, after in pairwise(corners):
        points += [before, after, after]
    return points


def _shapes(node: dict[str, Any]) -> Iterator[str]:
    if node.get("class") == ANY_OF:
        yield _gate(_or_outline(*_box(node)), "≥1", node)
    elif node.get("class") == ALL_OF:
        yield _gate(_and_outline(*_box(node)), "&", node)
    elif node.get("class") == HAZARD:
        for line in node.get("_ldraw_", ()):
            if line.get("text", "").startswith(INDENT + HAZARD_WORD):
                yield _triangle(line)


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


def _gate(outline: list[Point], sign: str, node: dict[str, Any]) -> str:
    _, _, middle, _ = _box(node)
    centre = float(node["pos"].split(",")[0])
    return _outlined("b", outline, "#ffffff", 1.4) + " " + _text(sign, centre + 1, middle - 3.8, 11)


def _triangle(line: dict[str, Any]) -> str:
    """An upright triangle with an exclamation mark, left of the line's first letter (as ISO 7010 W001)."""
    x, y = line["pt"]
    left = x - {"c": 0.5, "r": 1.0}.get(line["align"], 0.0) * line["width"]
    corners = [(left, y - 2.0), (left + 13, y - 2.0), (left + 6.5, y + 9.5)]
    return _outlined("P", corners, "#ffe680", 1.0) + " " + _text("!", left + 6.5, y - 0.6, 8)


def _outlined(kind: str, points: list[Point], fill: str, pen: float) -> str:
    width = f"setlinewidth({pen:g})"
    listed = " ".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return f"S {len(width)} -{width} c 7 -#000000 C {len(fill)} -{fill} {kind} {len(points)} {listed}"


def _text(text: str, x: float, y: float, size: float) -> str:
    font = "Helvetica-Bold"
    return f"F {size:g} {len(font)} -{font} c 7 -#000000 T {x:.2f} {y:.2f} 0 20 {len(text.encode())} -{text}"
