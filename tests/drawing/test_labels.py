from __future__ import annotations

from xml.etree import ElementTree

import graphviz
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.labels import in_100, label
from diagnose.drawing.rendering import svg
from diagnose.drawing.route import route_dot

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
]


def texts(picture):
    """Every piece of text that the picture shows, and the names of all its elements."""
    root = ElementTree.fromstring(picture)
    shown = [node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text")]
    return shown, {node.tag.rsplit("}")[-1] for node in root.iter()}


def squeezed(text):
    return "".join(text.split())


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_shown_as_written_and_does_nothing(text, tree_saying, graph_of, need):
    need("dot")
    tree = tree_saying(text)
    for dot_text in (fault_tree_dot(tree), route_dot(graph_of(tree), tree)):
        shown, elements = texts(svg(dot_text))
        assert squeezed(text) in squeezed("".join(shown))
        assert elements <= {"svg", "g", "title", "polygon", "polyline", "path", "text", "ellipse"}
        assert "owned" not in shown


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
    assert label("a" * 50, width=20) == "\\n".join("a" * n for n in (17, 17, 16))


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
