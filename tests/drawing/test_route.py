from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from networkx import node_link_graph

from diagnose.drawing.route import route_dot, route_json
from diagnose.terms import Answer, Band, Reading

ISO_5807 = {"decision": "diamond", "manual operation": "invtrapezium", "connector": "circle"}
"""Symbols of ISO 5807:1985 and the shapes in which the DOT language has them; from memory of the standard."""


@pytest.fixture
def tree_under_mains(tree):
    """The question is asked where there is mains."""
    return replace(tree, checks={"look": replace(tree.checks["look"], hazards=frozenset({"mains"}))})


@pytest.fixture
def tree_with_a_reading(tree):
    """Something is measured instead of looked at."""
    measure = replace(
        tree.checks["look"],
        answers=(Answer("low", ""), Answer("good", "")),
        reading=Reading("V", 0.0, 16.0, 0.15),
        bands=(Band("low", 0.0, 11.5), Band("good", 11.5, 16.0)),
        expect={"lead": {"low": 0.9, "good": 0.1}, "otherwise": {"low": 0.1, "good": 0.9}},
        stop_on=frozenset(),
    )
    return replace(tree, checks={"look": measure})


def nodes_of(text):
    """Name -> everything that is said of a node in DOT text."""
    return dict(re.findall(r"^\s+(\w+) \[(.*)\]$", text, re.MULTILINE))


def edges_of(text):
    """(tail, head) -> everything that is said of that edge."""
    found = re.findall(r"^\s+(\w+) -> (\w+) \[(.*)\]$", text, re.MULTILINE)
    return {(tail, head): said for tail, head, said in found}


def words(said):
    """The text of a label without its marks."""
    bare = re.sub(r"</?[A-Z]+(?: [^<>]*)?/?>", " ", said).replace("\N{NO-BREAK SPACE}", " ")
    return " ".join(bare.split())


def test_every_step_and_end_is_drawn_with_its_symbol(tree, graph_of):
    drawn = nodes_of(route_dot(graph_of(tree), tree, 0.0))
    assert f"shape={ISO_5807['decision']}" in drawn["n1"]
    assert "Is the lead wet? 1 min" in words(drawn["n1t"])
    assert 'SIDES="LTB"' in drawn["n1t"]
    remedy = next(said for name, said in drawn.items() if "Put right:" in words(said))
    assert "shape" not in remedy  # the chart's own: a box
    ends = [words(said) for said in drawn.values() if "style=rounded" in said]
    assert any("Cured" in end for end in ends)
    assert any("Refer: A workshop".lower() in end.lower() for end in ends)


def test_a_stop_is_said_in_capitals_and_by_a_double_border(tree, graph_of):
    drawn = nodes_of(route_dot(graph_of(tree), tree))
    stop = next(said for said in drawn.values() if "STOP, danger." in words(said))
    assert "peripheries=2" in stop
    assert "style=rounded" in stop


def test_a_hazard_is_said_by_word_and_border_and_has_room_for_its_triangle(tree_under_mains, graph_of):
    drawn = nodes_of(route_dot(graph_of(tree_under_mains), tree_under_mains, 0.0))
    assert "peripheries=2" in drawn["n1"]
    assert "HAZARD: mains" in words(drawn["n1t"])
    assert "class=hazard" in drawn["n1t"]


def test_a_measurement_has_the_symbol_of_a_manual_operation(tree_with_a_reading, graph_of):
    text = route_dot(graph_of(tree_with_a_reading), tree_with_a_reading, 0.0)
    assert f"shape={ISO_5807['manual operation']}" in nodes_of(text)["n1"]
    said = " ".join(words(each) for each in edges_of(text).values())
    assert "low (under 11.5 V)" in said
    assert "good (from 11.5 V)" in said


def test_answers_that_lead_to_the_same_step_share_a_line(tree, graph_of):
    graph = graph_of(tree)
    targets = {
        to for _, to, answer in graph.out_edges(graph.graph["start"], keys=True) if answer != "could-not"
    }
    text = route_dot(graph, tree, 0.0)
    assert sum(tail == "n1" and head != "n1t" for tail, head in edges_of(text)) == len(targets)


def test_a_line_is_the_wider_the_more_vehicles_go_along_it_and_says_how_many(tree, graph_of):
    widths = {}
    for said in edges_of(route_dot(graph_of(tree), tree, 0.0)).values():
        if share := re.search(r"(\d+) in 100", words(said)):
            widths[int(share[1])] = float(re.search(r"penwidth=([\d.]+)", said)[1])
    assert len(widths) > 2
    assert [widths[share] for share in sorted(widths)] == sorted(widths.values())


def test_what_is_rare_is_folded_to_dots_that_say_how_much_and_nothing_is_when_all_is_asked_for(
    tree, graph_of
):
    graph = graph_of(tree)
    folded = [words(said) for said in nodes_of(route_dot(graph, tree, 0.9)).values() if "···" in said]
    assert folded
    assert all(re.search(r"··· \d+ more steps?", each) for each in folded)
    assert "···" not in " ".join(nodes_of(route_dot(graph, tree, 0.0)).values())
    # The ends of a step that is drawn are drawn, however rare: a stop above all.
    assert "STOP" in route_dot(graph, tree, 0.9)


def test_a_very_long_answer_is_cut_along_its_line_and_a_question_never_is(tree_saying, graph_of):
    text = "word " * 60
    tree = tree_saying(text.strip())
    drawn = route_dot(graph_of(tree), tree, 0.0)
    assert words(nodes_of(drawn)["n1t"]).count("word") == 60
    along = [words(said).count("word") for said in edges_of(drawn).values()]
    assert 10 < max(along) < 30
    assert any("…" in words(said) for said in edges_of(drawn).values())


def test_the_same_route_gives_the_same_text(tree, graph_of):
    assert route_dot(graph_of(tree), tree) == route_dot(graph_of(tree), tree)


@pytest.mark.parametrize(
    "text",
    [
        '<B>bold</B> & "quoted"',
        "a \\N and a \\G and a \\",
        "&lt; &#169; &amp;",
        "\u202eright to left",
        "]; x -> y",
    ],
)
def test_a_text_shows_as_it_is_written_whatever_it_holds(text, tree_saying, graph_of, need):
    """Read back from the SVG by an XML parser of the standard library."""
    need("dot")
    from xml.etree import ElementTree

    from diagnose.drawing.rendering import svg

    tree = tree_saying(text)
    picture = ElementTree.fromstring(svg(route_dot(graph_of(tree), tree, 0.0)))
    shown = " ".join("".join(each.itertext()) for each in picture.iter("{http://www.w3.org/2000/svg}text"))
    expected = text.replace("\u202e", "\ufffd")
    assert expected in shown.replace("\N{NO-BREAK SPACE}", " ")


def test_the_json_is_node_link_data_with_the_fixed_names(tree, graph_of):
    graph = graph_of(tree)
    data = json.loads(json.dumps(route_json(graph)))
    assert data["directed"] is True
    assert data["multigraph"] is True
    assert {"nodes", "edges", "graph"} <= set(data)
    assert data["graph"]["start"] == graph.graph["start"]
    wanted = {"kind", "of", "hazard", "hands", "by", "cautions", "starts", "probability", "ranking"}
    assert all(wanted <= set(node) for node in data["nodes"])
    assert all({"source", "target", "key", "answer", "probability"} <= set(edge) for edge in data["edges"])
    again = node_link_graph(data, edges="edges")
    assert set(again.edges(keys=True)) == set(graph.edges(keys=True))


def test_the_json_keeps_every_answer_and_not_sure_and_could_not(tree, graph_of):
    data = route_json(graph_of(tree))
    by_kind = {}
    for node in data["nodes"]:
        answers = [edge["answer"] for edge in data["edges"] if edge["source"] == node["id"]]
        by_kind.setdefault(node["kind"], []).append(answers)
    assert all(set(answers) == {"wet", "dry", "scorched", "not-sure"} for answers in by_kind["check"])
    assert all(set(answers) == {"cured", "not-cured", "could-not"} for answers in by_kind["remedy"])
    assert all(answers == [] for kind in ("cured", "stop", "referral") for answers in by_kind[kind])
