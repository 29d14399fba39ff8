"""Routes to be broken on purpose, and how a refusal of the proof is read.

Every refusal names its rule and a path; that the path is one of the route's own is followed edge by edge.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import UnsafeRoute, prove
from diagnose.reasoning.route import Edge
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.made_up_trees import OTHER_TREES

ALL = (1, 2, 3, 4, 5, 6, 7)


def heater(role="owner", other_trees=OTHER_TREES, **more):
    """Gas leads; a fuse, a heavy wheel under road, the mains; three tries."""
    tree = faults(
        empty=cause(30, do(minutes=25, cures=0.9, hands="controls"), hazard="gas"),
        blocked=cause(20, {"refer": "gas-engineer"}, hazard="gas"),
        fuse=cause(25, do(minutes=20, cures=0.9)),
        tripped=cause(12, do(minutes=15, cures=0.8, restores="mains"), hazard="mains"),
        wheel=cause(8, do(minutes=12, do="Look at the nuts"), hazard="road"),
    )
    checks = {
        "weight": check(
            hands="controls",
            starts=True,
            expect={"empty": {"one": 0.95}, "otherwise": {"two": 0.95}},
        ),
        "flame": check(
            answers={"one": "1", "two": "2", "three": "3"},
            stop_on="three",
            refer="gas-engineer",
            minutes=0.5,
            expect={
                "blocked": {"one": 0.95, "two": 0.049, "three": 0.001},
                "otherwise": {"one": 0.05, "two": 0.949, "three": 0.001},
            },
        ),
    }
    more = {"cautions": ["hot-surfaces"], "ask_first": ["smell-of-gas", "co-alarm", "mains-harmed"], **more}
    return model_of(tree, checks, role, **more)


def refused(graph, model):
    """The refusal of a graph, its path checked to be one of the graph's."""
    with pytest.raises(UnsafeRoute) as raised:
        prove(graph, model)
    error = raised.value
    assert f"safety rule {error.rule}" in str(error)
    assert error.path in str(error)
    follow_path(graph, error.path)
    return error


def follow_path(graph, path):
    """Goes along `start > id: answer > ... > kind id (hands, hazards)`, edge by edge."""
    first, *said, last = path.split(" > ") if " > " in path else (path, "")
    assert first == "start"
    here = {graph.graph["start"]}
    for step in said:
        of, answer = step.split(": ")
        here = {
            to
            for at in here
            if graph.nodes[at]["of"] == of
            for _, to, key in graph.out_edges(at, keys=True)
            if key == answer
        }
        assert here, f"{step} of {path} is no edge of the route"
    if last:
        kind, of = re.sub(r" \(.*\)$", "", last).split(" ", 1)
        reached = [(graph.nodes[at]["kind"], graph.nodes[at]["of"]) for at in here]
        assert (kind, of) in reached, path


def graph_of(route, model):
    """The graph of a route that was tampered with, without what can no longer be come by."""
    from networkx import descendants

    graph = route_graph(route, model)
    start = graph.graph["start"]
    graph.remove_nodes_from(set(graph) - {start} - descendants(graph, start))
    return graph


def first_node(route, kind, of=None):
    return next(at for at, n in enumerate(route.nodes) if n.kind == kind and of in (None, n.of))


def with_edge(route, at, answer, to):
    node = route.nodes[at]
    edges = {**node.edges, answer: Edge(to, node.edges[answer].probability)}
    return with_node(route, at, replace(node, edges=edges))


def with_node(route, at, node):
    return replace(route, nodes=(*route.nodes[:at], node, *route.nodes[at + 1 :]))


def changed_remedy(model, cause, **more):
    """The model of the same tree with one remedy changed behind the loader's back."""
    event = model.tree.events[cause]
    events = {**model.tree.events, cause: replace(event, remedy=replace(event.remedy, **more))}
    return build_model(replace(model.tree, events=events), model.role, other_trees=OTHER_TREES)


def changed_check(model, id, **more):
    checks = {**model.tree.checks, id: replace(model.tree.checks[id], **more)}
    return build_model(replace(model.tree, checks=checks), model.role, other_trees=OTHER_TREES)
