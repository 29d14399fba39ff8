"""A compiled route: every step for every answer, equal sub-routes one node; and its JSON for the cache."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, cast, get_args

from diagnose.terms import DiagnoseError

NodeKind = Literal["check", "remedy", "referral", "stop", "handover", "cured"]


@dataclass(frozen=True, slots=True)
class Edge:
    """Where one answer leads, and how often it is given once one stands at the node."""

    to: int
    probability: float


@dataclass(frozen=True, slots=True)
class RouteNode:
    """One step of a route."""

    kind: NodeKind
    of: str
    """The id of the check, cut set, referral or tree; a stop's is its referral; a cure's is `cured`."""
    edges: Mapping[str, Edge]
    probability: float
    """How often a walk comes by here."""
    shares: tuple[float, ...]
    """The ranking here, in the model's order; averaged over the paths that lead here."""


@dataclass(frozen=True, slots=True)
class Route:
    """Nodes in an order in which every edge leads forward; the start is the first."""

    nodes: tuple[RouteNode, ...]
    ids: tuple[str, ...]
    """The hypotheses' ids, in the order of every node's shares."""
    start: int = 0


class DamagedRoute(DiagnoseError):
    """A stored route does not have the form that it was written in."""


def route_to_json(route: Route) -> str:
    """The route as JSON text; floats keep every digit."""
    nodes = [
        [n.kind, n.of, n.probability, n.shares, [[a, e.to, e.probability] for a, e in n.edges.items()]]
        for n in route.nodes
    ]
    return json.dumps({"ids": route.ids, "start": route.start, "nodes": nodes}, separators=(",", ":"))


def route_from_json(text: str) -> Route:
    """The route that `route_to_json` wrote; raises DamagedRoute for anything else."""
    try:
        data = json.loads(text)
        nodes = tuple(_node(*fields) for fields in data["nodes"])
        route = Route(nodes, tuple(_text(id) for id in data["ids"]), _place(data["start"]))
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise DamagedRoute("the stored route cannot be read") from error
    size = len(route.nodes)
    forward = all(at < e.to < size for at, n in enumerate(route.nodes) for e in n.edges.values())
    whole = all(len(node.shares) == len(route.ids) for node in route.nodes)
    if not size or route.start != 0 or not forward or not whole:
        raise DamagedRoute("the stored route does not hang together")
    return route


def _node(kind: object, of: object, probability: object, shares: object, edges: object) -> RouteNode:
    if kind not in get_args(NodeKind) or not isinstance(shares, list) or not isinstance(edges, list):
        raise ValueError("no node")
    ways = {_text(answer): Edge(_place(to), _chance(chance)) for answer, to, chance in edges}
    return RouteNode(
        cast(NodeKind, kind), _text(of), ways, _chance(probability), tuple(_chance(share) for share in shares)
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError("no text")
    return value


def _place(value: object) -> int:
    if type(value) is not int:
        raise ValueError("no place")
    return value


def _chance(value: object) -> float:
    """A number from 0 to 1, with a little room for rounding; what is no number at all compares as neither."""
    if type(value) not in (int, float) or not 0 <= cast(float, value) <= 1 + 1e-9:
        raise ValueError("no chance")
    return float(cast(float, value))
