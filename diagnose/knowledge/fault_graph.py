"""A tree's events as a graph of the common graph library, for diagrams and for whoever studies them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.terms import TOP, Tree

if TYPE_CHECKING:
    import networkx


def fault_graph(tree: Tree) -> networkx.DiGraph[str]:
    """Events as nodes, an edge from each event to each of its inputs, in file order; the top is `TOP`.

    Nodes carry `says`, `gate` (None for a cause), `in_100`, `hazards` (sorted) and `cause`.
    """
    import networkx

    graph: networkx.DiGraph[str] = networkx.DiGraph(symptom=tree.id)
    for event in tree.events.values():
        graph.add_node(
            event.id,
            says=event.says if event.id != TOP else tree.symptom,
            gate=event.gate,
            in_100=event.in_100,
            hazards=sorted(event.hazards),
            cause=event.gate is None,
        )
    for event in tree.events.values():
        graph.add_edges_from((event.id, one) for one in event.inputs)
    return graph
