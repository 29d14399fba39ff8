"""A route as a networkx MultiDiGraph: what diagrams, the page and the proof are read off.

Nodes are numbered from the start (0) so that edges lead forward, and carry `kind`, `of`, `hazard`, `hands`,
`by`, `cautions` (shown here for the first time on some path), `starts`, `probability` and `ranking`. Edges
have the answer as key and carry `answer` and `probability` (once one stands at the node). The graph carries
`start`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route, RouteNode
from diagnose.terms import Tree

if TYPE_CHECKING:
    from networkx import MultiDiGraph


def route_graph(route: Route, model: Model, rankings: bool = True) -> MultiDiGraph[int]:
    """The route with everything that its readers need, cautions placed.

    The proof needs no rankings; without them (empty lists) the graph is made in half the time.
    """
    from networkx import MultiDiGraph

    graph: MultiDiGraph[int] = MultiDiGraph(start=route.start, symptom=model.tree.id, role=model.role)
    for at, node in enumerate(route.nodes):
        graph.add_node(at, **_attributes(model, node), ranking=_ranking(model, node) if rankings else [])
    for at, node in enumerate(route.nodes):
        for answer, edge in node.edges.items():
            graph.add_edge(at, edge.to, key=answer, answer=answer, probability=edge.probability)
    carried = {at: _cautions_of(model, node) for at, node in enumerate(route.nodes)}
    carried[route.start] = tuple(dict.fromkeys([*model.tree.cautions, *carried[route.start]]))
    for at, shown in first_shown(graph, carried).items():
        graph.nodes[at]["cautions"] = shown
    return graph


def step_hazards(model: Model, kind: str, of: str) -> frozenset[str]:
    """The hazards that a step carries, `none` left out."""
    if kind == "check":
        found = model.tree.checks[of].hazards
    elif kind == "remedy":
        found = model.hypotheses[model.index[of]].step_hazards
    else:
        found = frozenset()
    return found - {"none"}


def hazard_cautions(tree: Tree, hazards: frozenset[str]) -> tuple[str, ...]:
    """The cautions that go with some hazards, in the order of the common files."""
    ids = (hazard.caution for id, hazard in tree.hazards.items() if id in hazards)
    return tuple(id for id in ids if id is not None)


def _cautions_of(model: Model, node: RouteNode) -> tuple[str, ...]:
    """The cautions that a step brings; the fixed questions bring none."""
    if node.kind == "check" and model.tree.checks[node.of].fixed:
        return ()
    return hazard_cautions(model.tree, step_hazards(model, node.kind, node.of))


def _attributes(model: Model, node: RouteNode) -> dict[str, Any]:
    check = model.tree.checks.get(node.of) if node.kind == "check" else None
    remedy = model.hypotheses[model.index[node.of]] if node.kind == "remedy" else None
    return {
        "kind": node.kind,
        "of": node.of,
        "hazard": sorted(step_hazards(model, node.kind, node.of)),
        "hands": check.hands if check else remedy.hands if remedy else None,
        "by": check.by if check else _by(model, node.of) if remedy else None,
        "cautions": (),
        # Whoever has put something right tries whether the appliance works.
        "starts": check.starts if check else remedy is not None,
        "probability": node.probability,
    }


def _ranking(model: Model, node: RouteNode) -> list[dict[str, Any]]:
    order = sorted(range(len(node.shares)), key=lambda at: -node.shares[at])
    return [{"cause": model.ids[at], "share": node.shares[at]} for at in order]


def _by(model: Model, cut_set: str) -> str:
    remedies = (model.tree.events[cause].remedy for cause in cut_set.split("+"))
    return "technician" if any(r is not None and r.by == "technician" for r in remedies) else "owner"


def first_shown(
    graph: MultiDiGraph[int], carried: Mapping[int, tuple[str, ...]]
) -> dict[int, tuple[str, ...]]:
    """For each node, those of its cautions that some path reaches without having shown them before."""
    shown: dict[int, list[str]] = {at: [] for at in graph}
    for caution in dict.fromkeys(caution for each in carried.values() for caution in each):
        open_to, seen = [graph.graph["start"]], {graph.graph["start"]}
        while open_to:
            at = open_to.pop()
            if caution in carried[at]:
                shown[at].append(caution)
                continue
            for following in graph.successors(at):
                if following not in seen:
                    seen.add(following)
                    open_to.append(following)
    return {at: tuple(caution for caution in carried[at] if caution in found) for at, found in shown.items()}
