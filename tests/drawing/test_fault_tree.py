from __future__ import annotations

import json

from networkx import node_link_graph

from diagnose.drawing.fault_tree import fault_tree_dot
from diagnose.drawing.rendering import svg


def body(dot_text):
    return [line.strip() for line in dot_text.splitlines()[4:-1]]


def test_a_small_tree_is_drawn_event_by_event_with_its_gates_and_shares(tree):
    assert body(fault_tree_dot(tree)) == [
        'n0 [label="The post trips" style=bold]',
        'n0g [label="≥1" fontsize=12 margin=0.02 shape=square width=0.3]',
        "n0 -> n0g [arrowhead=none]",
        'n1 [label="Wet lead\\nPut right by: owner, 60 min"]',
        "n1c [label=60 fixedsize=true margin=0 shape=circle width=0.4]",
        "n1 -> n1c [arrowhead=none]",
        'n2 [label="A bad joint\\n35 in 100\\nHazard: mains" peripheries=2]',
        'n2g [label="&" fontsize=12 margin=0.02 shape=square width=0.3]',
        "n2 -> n2g [arrowhead=none]",
        'n3 [label="The plug is worn\\nHazard: mains\\nReferred to: electrician" peripheries=2]',
        'n3c [label="–" fixedsize=true margin=0 shape=circle width=0.4]',
        "n3 -> n3c [arrowhead=none]",
        'n4 [label="Damp inside\\nHazard: mains\\nPut right by: owner, 9 min" peripheries=2]',
        'n4c [label="–" fixedsize=true margin=0 shape=circle width=0.4]',
        "n4 -> n4c [arrowhead=none]",
        "n0g -> n1",
        "n0g -> n2",
        "n2g -> n3",
        "n2g -> n4",
    ]


def test_the_same_tree_gives_the_same_text(tree):
    assert fault_tree_dot(tree) == fault_tree_dot(tree)


def test_a_hazard_is_said_in_words_and_by_its_border_and_nothing_is_said_by_colour(tree):
    text = fault_tree_dot(tree)
    for line in body(text):
        assert ("Hazard: " in line) == ("peripheries=2" in line)
    assert "color" not in text.replace("bgcolor=white", "")


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
