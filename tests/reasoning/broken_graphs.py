"""Graphs of small trees, to be broken by hand: answers led elsewhere, steps added."""

from __future__ import annotations

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.proof import prove
from tests.reasoning.broken_routes import (
    ALL,
)
from tests.reasoning.by_hand import cause, check, do, faults, model_of


def graph_and_model(*, checks=None, role="owner", change=None, **causes):
    """The graph of a small tree without fixed questions, and its model."""
    model = model_of(faults(**causes), checks, role)
    model = change(model) if change else model
    return route_graph(compile_route(model), model), model


def find(graph, kind, of):
    return next(at for at, node in graph.nodes(data=True) if (node["kind"], node["of"]) == (kind, of))


def lead(graph, at, edges):
    """Leads answers elsewhere, and drops what can then no longer be come by."""
    from networkx import descendants

    for answer, to in edges.items():
        old = next(target for _, target, key in graph.out_edges(at, keys=True) if key == answer)
        graph.remove_edge(at, old, key=answer)
        graph.add_edge(at, to, key=answer, answer=answer, probability=0.0)
    graph.remove_nodes_from(set(graph) - {0} - descendants(graph, 0))


def added(graph, like, **edges):
    """A new node with the attributes of another."""
    at = max(graph) + 1
    graph.add_node(at, **graph.nodes[like])
    for answer, to in edges.items():
        graph.add_edge(at, to, key=answer.replace("_", "-"), answer=answer, probability=0.0)
    return at


def two_causes():
    """Two causes and nothing to ask: `first`, then `second`, then the workshop."""
    checks = {"look": check(minutes=500)}
    graph, model = graph_and_model(checks=checks, first=cause(60, do(cures=0.5)), second=cause(30))
    assert [graph.nodes[at]["of"] for at in range(2)] == ["first", "second"]
    assert prove(graph, model) == ALL
    return graph, model
