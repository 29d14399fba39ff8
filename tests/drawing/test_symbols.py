"""The shapes of gates and events, against how the standards describe them.

NUREG-0492 (1981), chapter IV, figure IV-1, and IEC 61025:2006, annex A, both from memory: the OR gate is
pointed at its output and hollow at its inputs, the AND gate round at its output and flat at its inputs, a
basic event is a circle, an undeveloped event a diamond, a transfer a triangle.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.rendering import svg
from diagnose.drawing.symbols import ALL_OF, ANY_OF, KEY_OUTLINES, OUTLINES, with_symbols

BOX = (10.0, 50.0, 100.0, 16.0)
"""Left, right, middle and half the height."""
SVG = "{http://www.w3.org/2000/svg}"


def traced(points, steps=40):
    """Points along a piecewise cubic (Bernstein form), which must be closed."""
    assert len(points) % 3 == 1
    assert points[0] == pytest.approx(points[-1])
    for at in range(0, len(points) - 1, 3):
        for step in range(steps):
            t = step / steps
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
            yield tuple(
                sum(w * p[i] for w, p in zip(weights, points[at : at + 4], strict=True)) for i in (0, 1)
            )


@pytest.mark.parametrize("outline", [*OUTLINES.values(), *KEY_OUTLINES.values()])
def test_every_outline_is_closed_lies_in_its_box_and_is_the_same_above_and_below(outline):
    left, right, middle, half = BOX
    curve = list(traced(outline(*BOX)))
    assert all(left - 0.01 <= x <= right + 0.01 and abs(y - middle) <= half + 0.01 for x, y in curve)
    assert max(abs(y - middle) for _, y in curve) == pytest.approx(half, abs=0.1)


def test_the_or_gate_is_pointed_at_its_output_and_hollow_at_its_inputs():
    left, right, middle, half = BOX
    curve = list(traced(OUTLINES[ANY_OF](*BOX), 200))
    assert min(curve) == pytest.approx((left, middle))
    corners = [y for x, y in curve if x > right - 0.2]
    assert sorted(round(y) for y in set(corners))[:: len(corners) - 1] == [middle - half, middle + half]
    back = max(x for x, y in curve if abs(y - middle) < 1)
    assert left < back < right - 3


def test_the_and_gate_is_round_at_its_output_and_flat_at_its_inputs():
    left, right, middle, half = BOX
    curve = list(traced(OUTLINES[ALL_OF](*BOX)))
    flat = [y for x, y in curve if x == pytest.approx(right)]
    assert (min(flat), max(flat)) == pytest.approx((middle - half, middle + half), abs=1)
    assert len(flat) > 20
    for x, y in curve:
        if x < left + half:
            assert math.hypot(x - left - half, y - middle) == pytest.approx(half, rel=0.001)


def test_a_circle_is_round():
    left, right, middle, half = BOX
    centre = (left + right) / 2
    for x, y in traced(KEY_OUTLINES["Circle"](*BOX)):
        assert math.hypot(x - centre, y - middle) == pytest.approx(half, rel=0.001)


def drawn(tree):
    root = ElementTree.fromstring(svg(fault_tree_dot(tree)))
    texts = {
        (each.text or "").strip(): (float(each.get("x")), float(each.get("y")))
        for each in root.iter(SVG + "text")
    }
    return root, texts


def corners_of(path):
    """The points at which the pieces of an SVG path meet."""
    numbers = [tuple(map(float, pair.split(","))) for pair in path.replace("M", "").replace("C", " ").split()]
    return numbers[::3]


def test_each_hazard_has_its_triangle_just_before_the_word(tree, need):
    need("dot")
    root, _ = drawn(tree)
    words = [each for each in root.iter(SVG + "text") if "HAZARD" in (each.text or "")]
    triangles = [
        corners_of(each.get("d")) for each in root.iter(SVG + "path") if each.get("fill") == "#ffe680"
    ]
    assert len(words) == len(triangles) == 4
    for word in words:
        y = float(word.get("y"))
        assert word.text.startswith("\N{NO-BREAK SPACE}" * 6)  # the room for it
        (near,) = [
            each
            for each in triangles
            if all(abs(corner[1] - y) < 12 for corner in each)
            and abs(each[0][0] - float(word.get("x"))) < 100
        ]
        left, right = min(corner[0] for corner in near), max(corner[0] for corner in near)
        if word.get("text-anchor") == "start":
            assert left == pytest.approx(float(word.get("x")), abs=0.1)
        else:
            assert right < float(word.get("x"))
        assert right - left == pytest.approx(13, abs=0.1)


def test_the_signs_of_both_gates_stand_in_their_shapes_and_no_box_is_left_around_them(tree, need):
    need("dot")
    root, texts = drawn(tree)
    assert {"≥1", "&"} <= set(texts)
    gates = [each for each in root.iter(SVG + "g") if each.get("class") in ("node any-of", "node all-of")]
    assert not [each for gate in gates for each in gate.iter(SVG + "polygon")]


def test_lines_run_square_from_gate_to_event(tree, need):
    need("dot")
    root, _ = drawn(tree)
    lines = [each for each in root.iter(SVG + "g") if each.get("class") == "edge"]
    pieces = [corners_of(path.get("d")) for line in lines for path in line.iter(SVG + "path")]
    assert len(pieces) == 11
    gates = [each for each in pieces if len(each) == 4]
    assert len(gates) == 7
    for points in gates:
        for (x, y), (to_x, to_y) in pairwise(points):
            assert abs(x - to_x) < 0.1 or abs(y - to_y) < 0.1


def test_no_string_is_longer_than_the_program_takes_however_many_gates_there_are():
    """The program warns of strings over 16384 characters and then fails (Graphviz 2.43, seen)."""
    gate = {"class": ANY_OF, "pos": "100.5,200.25", "width": "0.5", "height": "0.46"}
    nodes = [gate | {"_gvid": number, "name": f"n{number}g"} for number in range(500)]
    text = with_symbols("strict digraph {\n}\n", {"objects": nodes})
    strings = re.findall(r'"((?:[^"\\]|\\.)*)"', text)
    assert max(map(len, strings)) < 16384
    assert "".join(strings).count("setlinewidth") == 500
