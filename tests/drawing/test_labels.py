from __future__ import annotations

import json
import struct
import subprocess
from dataclasses import replace
from io import BytesIO
from xml.etree import ElementTree

import graphviz
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.fault_tree_pages import fault_tree_pages
from diagnose.drawing.labels import figure, in_100, label
from diagnose.drawing.rendering import pages_pdf, rendered, svg
from diagnose.drawing.route import route_dot
from diagnose.terms import TOP

HOSTILE = [
    "<b>hot</b>",
    "<<table><tr><td>x</td></tr></table>>",
    "ends in a backslash \\",
    "its name is \\N and \\G and \\L",
    'quote " then "]; n99 [label="owned"',
    "&lt;not a tag&gt; &amp; &#65;",
    "<script>alert(1)</script>",
    "} digraph { a -> b",
    "// no comment /* none */",
    "naïve ☃ \N{HIRAGANA LETTER A}",
    "strict digraph node edge subgraph",
    "<i>",
    "class=hazard",
    "@import url(x); ]]> <!-- --> <?x?>",
    "Donau" + "dampf" * 30,
    "a{{b}}|c|<p>d ${e} %s",
]
DIRECTIONS = "abc\N{RIGHT-TO-LEFT OVERRIDE}def\N{LEFT-TO-RIGHT ISOLATE}ghi\N{ZERO WIDTH SPACE}jkl\x1b[31m\x00"


def texts(picture):
    """Every piece of text that the picture shows, and the names of all its elements."""
    root = ElementTree.fromstring(picture)
    shown = [node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text")]
    return shown, {node.tag.rsplit("}")[-1] for node in root.iter()}


def squeezed(text):
    return "".join(text.split())


@pytest.fixture
def hostile(tree, need):
    """One tree whose causes say all of that."""
    need("dot")
    lead = tree.events["lead"]
    causes = {f"c{n}": replace(lead, id=f"c{n}", says=text, in_100=5.0) for n, text in enumerate(HOSTILE)}
    top = replace(tree.events[TOP], inputs=tuple(causes))
    return replace(tree, events={TOP: top, **causes}, cut_sets=tuple((id,) for id in causes))


ELEMENTS = {"svg", "g", "title", "polygon", "polyline", "path", "text", "ellipse"}


def test_hostile_text_is_shown_as_written_and_does_nothing(hostile):
    shown, elements = texts(svg(fault_tree_dot(hostile)))
    for text in HOSTILE:
        assert squeezed(text) in squeezed("".join(shown))
    assert elements <= ELEMENTS
    assert "owned" not in shown


@pytest.mark.parametrize("text", HOSTILE[:10])
def test_a_route_shows_hostile_text_as_written_and_it_does_nothing(text, tree_saying, graph_of, need):
    need("dot")
    tree = tree_saying(text)
    shown, elements = texts(svg(route_dot(graph_of(tree), tree)))
    assert squeezed(text) in squeezed("".join(shown))
    assert elements <= ELEMENTS
    assert "owned" not in shown


def test_hostile_text_can_be_found_in_a_pdf_just_as_it_was_written(hostile):
    """A second reader, pypdf, finds it as text; it finds no link, script or form in the file."""
    reader = PdfReader(BytesIO(pages_pdf(fault_tree_pages(hostile, "a3"), "a3")))
    assert not any(page.get("/Annots") or "/AA" in page for page in reader.pages)
    assert not {"/OpenAction", "/AcroForm", "/Names"} & set(reader.trailer["/Root"])
    found = squeezed("".join(page.extract_text() for page in reader.pages))
    for text in HOSTILE:
        # Letters that no font of this machine has cannot be found by anybody.
        assert squeezed(text.encode("latin-1", "ignore").decode("latin-1")) in found.replace("☃あ", "")


def test_hostile_text_survives_the_drawing_programs_own_reading_of_dot(hostile):
    """The program reads the DOT text and writes as JSON what it understood: the same nodes and words."""
    command = ["dot", "-Tjson"]
    understood = subprocess.run(
        command, input=fault_tree_dot(hostile).encode(), capture_output=True, check=True
    )
    nodes = {node["name"]: node for node in json.loads(understood.stdout)["objects"]}
    names = {f"n{number}{end}" for number in range(1, len(HOSTILE) + 2) for end in ("", "s")}
    assert set(nodes) == {"n0", "n0g", "key"} | names
    for number, text in enumerate(HOSTILE, start=1):
        shown = "".join(line.get("text", "") for line in nodes[f"n{number}"]["_ldraw_"])
        assert squeezed(text) + "Owner,60min" == squeezed(shown)


def test_hostile_text_is_a_picture_of_points_all_the_same(hostile):
    """Width and height stand in the header of a PNG (ISO/IEC 15948, 11.2.2)."""
    picture = rendered(fault_tree_dot(hostile), "png")
    assert picture[:16] == b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
    width, height = struct.unpack(">II", picture[16:24])
    assert min(width, height) > 300


def test_what_would_turn_or_hide_text_shows_as_a_stand_in(tree_saying, need):
    need("dot")
    shown, _ = texts(svg(fault_tree_dot(tree_saying(DIRECTIONS))))
    assert "abc�def�ghi�jkl�[31m�" in squeezed("".join(shown))


@given(st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=40))
def test_no_text_breaks_out_of_its_label(text):
    graph = graphviz.Digraph()
    graph.node("n0", label(text))
    line = graph.source.splitlines()[1].strip()
    # Whatever the text, one label: either a bare word or one quoted string, whose quotes are all escaped.
    assert line.startswith("n0 [label=")
    value = line.removeprefix("n0 [label=").removesuffix("]")
    if value.startswith('"'):
        inner = value[1:-1].replace("\\\\", "")
        assert '"' not in inner.replace('\\"', "")
        assert not inner.endswith("\\")
    else:
        assert all(c.isalnum() or c in "_.-" for c in value)


def test_long_words_are_cut_and_lines_are_no_longer_than_asked():
    assert label("a" * 50, width=20, left=True) == "".join("a" * n + "\\l" for n in (20, 20, 10))
    assert label("a" * 50, width=20) == "\\n".join("a" * n for n in (20, 20, 10))


@pytest.mark.parametrize(
    ("share", "says"),
    [
        (1.0, "100 in 100"),
        (0.9999, "100 in 100"),
        (0.996, "over 99 in 100"),
        (0.37, "37 in 100"),
        (0.004, "under 1 in 100"),
        (0.0, "under 1 in 100"),
    ],
)
def test_a_share_is_said_in_hundredths(share, says):
    assert in_100(share) == says


@pytest.mark.parametrize(
    ("share", "says"),
    [
        (100.0, "100"),
        (9.95, "10"),
        (9.94, "9.9"),
        (9.0, "9"),
        (2.5, "2.5"),
        (0.05, "0.1"),
        (0.01, "<0.1"),
        (0.0, "0"),
    ],
)
def test_a_figure_is_short_enough_for_its_symbol(share, says):
    assert figure(share) == says


def test_lines_are_of_much_the_same_length_and_end_at_no_unit():
    assert label("A control keeps it off", width=20) == "A control\\nkeeps it off"
    assert (
        label("It has no 12 V at all", width=12).replace("\N{NO-BREAK SPACE}", "_")
        == "It has no\\n12_V at all"
    )
