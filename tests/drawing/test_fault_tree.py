from __future__ import annotations

import json
from dataclasses import replace

import pytest
from networkx import node_link_graph

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.rendering import svg
from diagnose.terms import TOP


def nodes(dot_text):
    """Every node of a DOT text with its attributes as they stand there, spaces plain."""
    lines = (line.strip().replace("\N{NO-BREAK SPACE}", " ") for line in dot_text.splitlines())
    return {line.split(" ")[0]: line for line in lines if "[" in line and "->" not in line}


def edges(dot_text):
    return [line.strip().split(" [")[0] for line in dot_text.splitlines() if "->" in line]


def test_a_small_tree_is_drawn_event_by_event_with_its_gates_symbols_and_shares(tree):
    text = fault_tree_dot(tree)
    drawn = nodes(text)
    assert drawn["n0"] == 'n0 [label="The post trips\\n100 of 100" penwidth=2 width=1.55]'
    assert drawn["n1"] == 'n1 [label="Wet lead\\nOwner, 60 min" width=1.55]'
    joint = "A bad joint\\n      HAZARD: mains\\n35 of 100"
    assert drawn["n2"] == f'n2 [label="{joint}" class=hazard peripheries=2 width=1.55]'
    assert drawn["n0g"].startswith('n0g [label="≥1" class="any-of"')
    assert drawn["n1s"].startswith("n1s [label=60 fixedsize=true")
    assert drawn["n1s"].endswith("shape=circle width=0.42]")
    assert drawn["n2g"].startswith('n2g [label="&" class="all-of"')
    assert drawn["n3s"].endswith("shape=diamond width=0.58]")
    assert edges(text) == [
        *("n0 -> n0g", "n1 -> n1s", "n2 -> n2g", "n3 -> n3s", "n4 -> n4s", "n5 -> n5s"),
        *("n0g -> n1", "n0g -> n2", "n0g -> n5", "n2g -> n3", "n2g -> n4"),
    ]


def test_the_same_tree_gives_the_same_text(tree):
    assert fault_tree_dot(tree) == fault_tree_dot(tree)


def test_a_hazard_is_said_in_words_by_border_and_class_and_nothing_is_said_by_colour(tree):
    text = fault_tree_dot(tree)
    boxes = {name: line for name, line in nodes(text).items() if name[1:].isdigit()}
    assert {name for name, line in boxes.items() if "HAZARD: " in line or "HAZARD:\\n" in line} == {
        "n2",
        "n3",
        "n4",
    }
    for line in boxes.values():
        assert ("HAZARD:" in line) == ("peripheries=2" in line) == ("class=hazard" in line)
    assert "color" not in text.replace("bgcolor=white", "")


@pytest.mark.parametrize(
    ("kind", "text", "shape", "says"),
    [
        ("do", "Dry it", "circle", "Owner, 60 min"),
        ("refer", "electrician", "diamond", "Refer to:\\nelectrician"),
        ("see", "habitation-dead", "triangle", "60 of 100, see\\nhabitation-dead"),
    ],
)
def test_the_symbol_tells_what_becomes_of_a_cause(kind, text, shape, says, tree):
    """Circle, diamond and triangle as in NUREG-0492 (1981), figure IV-1 and section 2, from memory: a basic
    event, an undeveloped event, a transfer."""
    lead = tree.events["lead"]
    changed = replace(lead, remedy=replace(lead.remedy, kind=kind, text=text))
    drawn = nodes(fault_tree_dot(replace(tree, events={**tree.events, "lead": changed})))
    assert f"shape={shape} " in drawn["n1s"]
    assert says in drawn["n1"]


def test_what_is_not_listed_is_an_undeveloped_event_under_the_symptom(tree):
    text = fault_tree_dot(replace(tree, not_listed=7.0))
    drawn = nodes(text)
    assert "not listed" in drawn["n5"]
    assert "label=7 " in drawn["n5s"]
    assert "shape=diamond" in drawn["n5s"]
    assert "n0g -> n5" in edges(text)


def test_a_symptom_that_needs_several_things_still_may_come_from_what_is_not_listed(tree):
    top = replace(tree.events[TOP], gate="all_of", in_100=95.0)
    text = fault_tree_dot(
        replace(tree, events={**tree.events, TOP: top}, cut_sets=(("lead", "plug", "damp"),))
    )
    drawn = nodes(text)
    assert "any-of" in drawn["n0g"]
    assert "What is listed" in drawn["n1"]
    assert "all-of" in drawn["n1g"]
    assert edges(text)[-6:-4] == ["n0g -> n1", "n0g -> n6"]


def test_lines_are_as_wide_as_their_share(tree):
    """Six points between none and all hundred, straight: 0.6 at none, 6 at a hundred."""
    lines = [line for line in fault_tree_dot(tree).splitlines() if "->" in line]
    widths = {line.strip().split(" [")[0]: line for line in lines}
    assert "penwidth=3.84" in widths["n0g -> n1"]
    assert "penwidth=2.49" in widths["n0g -> n2"]
    assert "penwidth=0.87" in widths["n0g -> n5"]


def test_the_key_names_the_symbols_that_are_there_and_no_other(tree):
    key = nodes(fault_tree_dot(tree))["key"]
    for word in ("OR gate", "AND gate", "Circle", "Diamond", "HAZARD"):
        assert word in key
    assert "Triangle" not in key


def test_the_picture_holds_every_event_in_words(tree, need):
    need("dot")
    picture = svg(fault_tree_dot(tree))
    assert picture.startswith("<?xml")
    for event in tree.events.values():
        assert event.says.split()[0] in picture


def test_the_fault_graph_survives_node_link_data(tree):
    from networkx import node_link_data

    from diagnose.knowledge.fault_graph import fault_graph

    graph = fault_graph(tree)
    again = node_link_graph(json.loads(json.dumps(node_link_data(graph, edges="edges"))), edges="edges")
    assert dict(again.nodes(data=True)) == dict(graph.nodes(data=True))
    assert list(again.edges) == list(graph.edges)


def test_the_drawing_of_a_tree_of_ones_own_says_that_this_project_has_not_checked_it(tree):
    def key(of):
        return " ".join(nodes(fault_tree_dot(of))["key"].replace("\\l", " ").split())

    assert "Your own tree; not checked by this project." in key(replace(tree, shipped=False))
    assert "not checked" not in key(replace(tree, shipped=True))
