from __future__ import annotations

import json

from networkx import node_link_graph

from diagnose.drawing.route import route_dot, route_json


def test_every_step_and_end_is_drawn_with_its_symbol(tree, graph_of):
    text = route_dot(graph_of(tree), tree, least=0.0).replace("\N{NO-BREAK SPACE}", " ")
    assert 'label="Is the lead wet?" margin=0.01 shape=diamond' in text
    assert 'label="Put right: Wet lead\\nBy: owner, 60 min"' in text
    assert "label=Cured style=rounded" in text
    assert 'label="STOP, danger: a\\nqualified electrician" peripheries=2 style=rounded' in text
    assert 'label="Refer: a workshop" style=rounded' in text


def test_answers_that_lead_to_the_same_step_share_a_line(tree, graph_of):
    graph = graph_of(tree)
    start = graph.graph["start"]
    text = route_dot(graph, tree, least=0.0)
    targets = {to for _, to, answer in graph.out_edges(start, keys=True) if answer != "could-not"}
    assert sum(line.strip().startswith("n0 ->") for line in text.splitlines()) == len(targets)


def test_rare_branches_end_in_dots_and_none_do_when_all_is_asked_for(tree, graph_of):
    graph = graph_of(tree)
    assert "goes on, not drawn" in route_dot(graph, tree, least=0.9)
    assert "goes on, not drawn" not in route_dot(graph, tree, least=0.0)
    # The ends of a step that is drawn are drawn, however rare: a stop above all.
    assert "STOP" in route_dot(graph, tree, least=0.9)


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
