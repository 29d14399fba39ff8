"""Every shipped tree drawn, and the pictures read by programs that are none of ours."""

from __future__ import annotations

import struct
from io import BytesIO
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.fault_tree_pages import fault_tree_pages
from diagnose.drawing.paper import scale_on
from diagnose.drawing.rendering import pages_pdf, rendered, size_of
from diagnose.terms import TOP
from tests.trees.shipped import EVERY_TREE, tree_of

SVG = "{http://www.w3.org/2000/svg}"
A4, A3 = (210, 297), (297, 420)
"""Millimetres, ISO 216:2007."""
SOME = [pytest.param(id, marks=[] if id == "heater-no-fire" else pytest.mark.long) for id in EVERY_TREE]


def squeezed(text):
    return "".join(text.split())


def words_of(tree):
    """All that a class must find on the drawing: the symptom and every event and cause."""
    return [tree.symptom, *(event.says for id, event in tree.events.items() if id != TOP)]


@pytest.mark.parametrize("id", SOME)
def test_every_cause_stands_in_the_svg_with_its_figure_and_its_hazards(id, need):
    need("dot")
    tree = tree_of(id)
    root = ElementTree.fromstring(rendered(fault_tree_dot(tree), "svg"))
    nodes = {}
    for group in root.iter(SVG + "g"):
        if group.get("class", "").startswith("node"):
            lines = [text.text or "" for text in group.iter(SVG + "text")]
            nodes[squeezed("".join(lines))] = len(list(group.iter(SVG + "polygon")))
    for says in words_of(tree):
        assert any(squeezed(says) in shown for shown in nodes), says
    for cause in tree.causes():
        (shown,) = [shown for shown in nodes if shown.startswith(squeezed(cause.says))]
        named = sorted(cause.hazards - {"none"})
        assert ("HAZARD:" + ",".join(named) in shown) == bool(named)
        assert nodes[shown] == (2 if named else 1)  # a border each, two where there is a hazard
    assert len(list(root.iter(SVG + "ellipse"))) == sum(c.remedy.kind == "do" for c in tree.causes())


@pytest.mark.parametrize("id", SOME)
def test_on_one_sheet_of_a4_every_word_can_be_read_and_found(id, need):
    need("dot")
    tree = tree_of(id)
    (page,) = fault_tree_pages(tree, "a4")
    # Type of 11 points comes out at 9 or more: read at arm's length, common practice, no source.
    assert scale_on("a4", size_of(page)) * 11 >= 9
    (sheet,) = PdfReader(BytesIO(pages_pdf([page], "a4"))).pages
    sides = sorted((float(sheet.mediabox.width), float(sheet.mediabox.height)))
    assert [side / 72 * 25.4 for side in sides] == pytest.approx(A4, abs=0.01)
    found = squeezed(sheet.extract_text())
    for says in words_of(tree):
        assert squeezed(says) in found


@pytest.mark.long
def test_every_tree_is_a_png_of_its_own_size_at_150_dots_an_inch(need):
    """Width and height stand in the header of a PNG (ISO/IEC 15948, 11.2.2)."""
    need("dot")
    for id in EVERY_TREE:
        dot_text = fault_tree_dot(tree_of(id))
        size = size_of(dot_text)
        picture = rendered(dot_text, "png")
        assert struct.unpack(">II", picture[16:24]) == pytest.approx(
            (size.width / 72 * 150, size.height / 72 * 150), abs=4
        )


@pytest.mark.long
def test_on_a3_every_tree_is_larger_than_on_a4(need):
    need("dot")
    for id in EVERY_TREE:
        size = size_of(fault_tree_dot(tree_of(id)))
        assert scale_on("a3", size) > scale_on("a4", size)
    (page,) = fault_tree_pages(tree_of(EVERY_TREE[0]), "a3")
    (sheet,) = PdfReader(BytesIO(pages_pdf([page], "a3"))).pages
    sides = sorted((float(sheet.mediabox.width), float(sheet.mediabox.height)))
    assert [side / 72 * 25.4 for side in sides] == pytest.approx(A3, abs=0.01)
