"""Charts of the shipped trees: nothing lost, nothing on top of another, nothing too small to read."""

from __future__ import annotations

import html
import json
import re
import subprocess
from functools import cache
from io import BytesIO
from itertools import pairwise

import pytest
from pypdf import PdfReader

from diagnose.drawing.rendering import pages_pdf
from diagnose.drawing.route import LEAST_SHARE, route_dot, route_pages
from diagnose.drawing.route_chart import is_step, route_chart
from diagnose.reasoning.graph import route_graph
from tests.trees.shipped import EVERY_TREE, model_of, route_of, tree_of

SOME = [
    pytest.param(id, marks=[] if id in ("heater-no-fire", "hook-up-trips") else pytest.mark.long)
    for id in EVERY_TREE
]
AWKWARD = {
    "cassette-blade": "owner",
    "engine-no-start": "owner",
    "gas-gone": "owner",
    "hook-up-trips": "owner",
    "leak-inside": "owner",
    "lights-dim": "technician",
    "mouse-signs": "owner",
}
"""Trees with one danger question or nine, with many ways out of them, with fourteen answers, with many ways
to the same step, and a technician's."""
SMALLEST_TYPE = 9.0
"""Points: what a sheet of paper can be read in at arm's length (common practice, no source)."""


@cache
def graph_of(id, role="owner"):
    return route_graph(route_of(id, role), model_of(id, role), rankings=False)


@pytest.mark.parametrize("id", SOME)
def test_no_vehicle_is_lost_and_no_likely_step_is_left_out(id):
    graph, tree = graph_of(id), tree_of(id)
    chart = route_chart(graph, tree)
    lines = [line for step in chart.steps for line in step.lines]
    ends = sum(line.share for line in lines if line.to is not None and not is_step(graph, line.to))
    assert ends + chart.folded == pytest.approx(1.0, abs=1e-9)
    drawn = {node for step in chart.steps for node in step.nodes}
    likely = {at for at in graph if is_step(graph, at) and graph.nodes[at]["probability"] >= LEAST_SHARE}
    assert likely <= drawn
    assert {(node, answer) for line in lines for node, answer in line.ways} <= {
        (node, answer) for node, _, answer in graph.edges(keys=True)
    }


@pytest.mark.parametrize("id", SOME)
def test_each_danger_question_is_told_with_its_stop_and_whom_to_call(id):
    tree = tree_of(id)
    bare = re.sub(r"</?[A-Z]+(?: [^<>]*)?/?>", " ", route_dot(graph_of(id), tree))
    shown = " ".join(html.unescape(bare).replace("\N{NO-BREAK SPACE}", " ").split())
    for check in (tree.checks[of] for of in tree.ask_first):
        stops = [answer.says for answer in check.answers if answer.id in check.stop_on]
        whom = tree.referrals[check.refer or tree.refer_to].to
        if len(tree.ask_first) > 1:
            assert f"{check.ask} STOP on: {'; '.join([*stops, 'not sure'])}. Call: {whom}." in shown
        else:
            assert check.ask in shown
            assert f"STOP, danger. {whom}" in shown


@pytest.mark.parametrize("id", SOME)
def test_a_circle_leads_to_the_page_on_which_its_step_stands(id):
    pages = route_pages(graph_of(id), tree_of(id), "a4")
    steps = {
        number: page
        for page, text in enumerate(pages, 1)
        for number in re.findall(r"^\tn(\d+) \[", text, re.MULTILINE)
    }
    circles = re.compile(
        r"^\t(\w)\S* \[label=<<B>(\d+)</B>(?:<BR/>page (\d+))?> .*shape=circle", re.MULTILINE
    )
    for page, text in enumerate(pages, 1):
        for sort, number, elsewhere in circles.findall(text):
            if sort == "e":
                assert steps[number] == int(elsewhere or page)
            else:  # a circle above a piece tells from where one comes
                assert f"<B>{number}</B>" in pages[int(elsewhere or page) - 1]
                assert steps[number] == page


def laid_out(text):
    """Boxes (name, left, bottom, right, top) of all nodes and labels, and straight lines with their ends."""
    done = subprocess.run(["dot", "-Tjson"], input=text.encode(), capture_output=True, check=True)
    drawn = json.loads(done.stdout)
    nodes, boxes, lines = drawn["objects"], [], []
    for node in nodes:
        x, y = map(float, node["pos"].split(","))
        wide, high = float(node["width"]) * 36, float(node["height"]) * 36
        rim = 4 if node.get("peripheries") == "2" and node.get("shape") is None else 0
        boxes.append((node["name"], x - wide - rim, y - high - rim, x + wide + rim, y + high + rim))
    for edge in drawn["edges"]:
        ends = {nodes[edge["tail"]]["name"], nodes[edge["head"]]["name"]}
        for row in (each for each in edge.get("_ldraw_", ()) if each["op"] == "T"):
            (x, y), width = row["pt"], row["width"]
            assert row["align"] == "l"
            boxes.append(("->".join(sorted(ends)), x, y - 2, x + width, y + 8))
        for curve in (each["points"][::3] for each in edge["_draw_"] if each["op"] == "b"):
            for (x, y), (across, up) in pairwise(curve):
                lines.append((ends, min(x, across), min(y, up), max(x, across), max(y, up)))
    return boxes, lines


def meet(one, other):
    """Whether two boxes have more in common than a border."""
    return all(
        one[low] < other[high] - 0.3 and other[low] < one[high] - 0.3 for low, high in ((1, 3), (2, 4))
    )


@pytest.mark.long
@pytest.mark.parametrize("id", AWKWARD)
def test_on_paper_nothing_stands_on_top_of_another_and_all_type_can_be_read(id, need):
    """Places as the drawing program has them, sizes of type as a reader of PDF does."""
    need("dot")
    role = AWKWARD[id]
    pages = route_pages(graph_of(id, role), tree_of(id), "a4")
    for text in pages:
        boxes, lines = laid_out(text)
        met = [(one, other) for at, one in enumerate(boxes) for other in boxes[:at] if meet(one, other)]
        assert met == []
        crossed = [
            (line, box)
            for line in lines
            for box in boxes
            if box[0].split("t")[0] not in line[0] and "->" not in box[0] and meet(line, box)
        ]
        assert crossed == []
    sizes = []

    def seen(text, matrix, of_text, font, size):
        if text.strip() not in ("", "!"):  # the mark in the triangle of a hazard
            sizes.append(size * abs(of_text[3]) * abs(matrix[3]))

    document = PdfReader(BytesIO(pages_pdf(pages, "a4")))
    for page in document.pages:
        page.extract_text(visitor_text=seen)
    assert len(document.pages) == len(pages)
    assert len(sizes) > 20
    assert min(sizes) >= SMALLEST_TYPE
