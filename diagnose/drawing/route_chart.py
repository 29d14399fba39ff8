"""What of a route is drawn: its likely steps, the lines out of them, and what is folded away.

A route has hundreds of steps; a class reads some dozens. Drawn is each step that at least `down_to` of all
vehicles come by, with the likeliest way to it. What is not drawn is folded into one place a step, which says
how many steps lie behind it and how many vehicles go there. Each line carries its share of all vehicles, so
the lines out of a step add up to what comes into it, and all ends and folds together to one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from diagnose.terms import COULD_NOT, Tree

if TYPE_CHECKING:
    from networkx import MultiDiGraph

LEAST_SHARE = 0.02
"""Steps that a smaller share of vehicles comes by are folded unless asked for."""
ENDS = ("cured", "referral", "stop", "handover")
Way = tuple[int, str]
"""An edge of the route: the step's node and the answer."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the picture: every answer of a step that leads to the same place."""

    ways: tuple[Way, ...]
    """The edges of the route that it stands for, in the order of the answers."""
    to: int | None
    """The node of the route that it leads to, or one of several alike; None into the fold."""
    share: float
    """Of all vehicles, along the lines that are drawn."""
    behind: int = 0
    """For a fold, how many steps are not drawn behind it."""


@dataclass(frozen=True, slots=True)
class ChartStep:
    """One step as drawn; the danger questions may be one block of several nodes."""

    number: int
    nodes: tuple[int, ...]
    lines: tuple[Line, ...]
    share: float

    @property
    def at(self) -> int:
        """The node by which it is known."""
        return self.nodes[0]

    @property
    def last_number(self) -> int:
        """The number of its last question."""
        return self.number + len(self.nodes) - 1


@dataclass(frozen=True, slots=True)
class Chart:
    """The steps in the order in which they are read, and from where each is drawn to be reached."""

    steps: tuple[ChartStep, ...]
    parents: Mapping[int, int]
    """Step -> the step beneath which it stands, both by node: where most of its vehicles come from."""
    left_out: int
    """How many steps of the route are not drawn."""

    @property
    def folded(self) -> float:
        """How many of all vehicles leave the picture by a fold."""
        return sum(line.share for step in self.steps for line in step.lines if line.to is None)

    def by_node(self) -> dict[int, ChartStep]:
        """Each step under its node."""
        return {step.at: step for step in self.steps}


def route_chart(
    graph: MultiDiGraph[int],
    tree: Tree,
    down_to: float = LEAST_SHARE,
    *,
    walked: Collection[Way] = (),
    danger_in_full: bool = False,
) -> Chart:
    """The chart of a compiled route; the edges of `walked` are drawn however improbable they are."""
    start: int = graph.graph["start"]
    block = () if danger_in_full else danger_block(graph, tree)
    on_the_way = {
        to for node, answer in walked for _, to, key in graph.out_edges(node, keys=True) if key == answer
    }
    drawn = _drawn(graph, down_to, {*block, *(node for node, _ in walked), *on_the_way})
    head = dict.fromkeys(block, start) if len(block) > 1 else {}
    groups = [tuple(block)] if head else []
    groups += [(node,) for node in sorted(drawn) if node not in head]
    flows = _flows(graph, drawn)
    lines = {group[0]: _lines(graph, group, drawn, flows, down_to, head, walked) for group in groups}
    order, parents = _reading_order(start, lines, walked)
    nodes_of = {group[0]: group for group in groups}
    steps, number = [], 1
    for at in order:
        nodes = nodes_of[at]
        steps.append(ChartStep(number, nodes, lines[at], flows[at]))
        number += len({graph.nodes[node]["of"] for node in nodes}) if len(nodes) > 1 else 1
    every = sum(is_step(graph, node) for node in graph)
    return Chart(tuple(steps), parents, every - len(drawn))


def is_step(graph: MultiDiGraph[int], node: int) -> bool:
    """Whether something is asked or done there; else it is an end."""
    return graph.nodes[node]["kind"] not in ENDS


def danger_block(graph: MultiDiGraph[int], tree: Tree) -> tuple[int, ...]:
    """The nodes of the danger questions with which every path begins, in route order."""
    first = set(tree.ask_first)
    return tuple(node for node in sorted(graph) if _asks(graph, node) in first)


def _asks(graph: MultiDiGraph[int], node: int) -> str:
    data: dict[str, Any] = graph.nodes[node]
    return str(data["of"]) if data["kind"] == "check" else ""


def _drawn(graph: MultiDiGraph[int], down_to: float, always: Iterable[int]) -> set[int]:
    """The steps at or above the share, those always drawn, and the likeliest way to each of them."""
    start: int = graph.graph["start"]
    wanted = {node for node in graph if is_step(graph, node) and graph.nodes[node]["probability"] >= down_to}
    wanted |= {node for node in always if is_step(graph, node)} | {start}
    reached: set[int] = set()
    for node in sorted(wanted):
        while node not in reached:
            reached.add(node)
            if node != start:
                node = max(graph.predecessors(node), key=lambda before: (_flow(graph, before, node), -before))
    return reached


def _flow(graph: MultiDiGraph[int], before: int, node: int) -> float:
    edges: Mapping[str, Mapping[str, float]] = graph.get_edge_data(before, node)
    into: float = sum(edge["probability"] for edge in edges.values())
    return into * float(graph.nodes[before]["probability"])


def _flows(graph: MultiDiGraph[int], drawn: Collection[int]) -> dict[int, float]:
    """How many vehicles come by each drawn step along drawn lines: nobody comes back out of a fold."""
    flows = dict.fromkeys(sorted(drawn), 0.0)
    flows[graph.graph["start"]] = 1.0
    for node in flows:
        for _, to, edge in graph.out_edges(node, data=True):
            if to in flows:
                flows[to] += flows[node] * edge["probability"]
    return flows


def _lines(
    graph: MultiDiGraph[int],
    group: tuple[int, ...],
    drawn: Collection[int],
    flows: Mapping[int, float],
    down_to: float,
    head: Mapping[int, int],
    walked: Collection[Way],
) -> tuple[Line, ...]:
    """The lines out of one step: to drawn steps and ends, and one into the fold if anything is folded.

    Where something is folded anyhow, rare referrals go along: each would be one box more that hardly anybody
    comes by. A stop and a cure are never folded.
    """
    ways: dict[object, list[tuple[Way, int, float]]] = {}
    folds = False
    for node in group:
        for _, to, edge in graph.out_edges(node, data=True):
            way = (node, edge["answer"])
            if head.get(to, -1) in group or (edge["answer"] == COULD_NOT and way not in walked):
                continue
            key: object = to
            if not is_step(graph, to):
                kind = graph.nodes[to]["kind"]
                # The block says of each question whom to call, so its stops are one.
                key = (kind,) if kind == "stop" and len(group) > 1 else (kind, graph.nodes[to]["of"])
            elif to not in drawn:
                key, folds = None, True
            ways.setdefault(key, []).append((way, to, flows[node] * edge["probability"]))
    if folds:
        for key in list(ways):
            rare = sum(share for _, _, share in ways[key]) < down_to
            by = any(way in walked for way, _, _ in ways[key])
            if isinstance(key, tuple) and key[0] in ("referral", "handover") and rare and not by:
                ways[None] += ways.pop(key)
    found = []
    for key, each in ways.items():
        share = sum(share for _, _, share in each)
        edges = tuple(way for way, _, _ in each)
        behind = _behind(graph, [to for _, to, _ in each], drawn) if key is None else 0
        found.append(Line(edges, None if key is None else each[0][1], share, behind))
    return tuple(found)


def _behind(graph: MultiDiGraph[int], targets: Iterable[int], drawn: Collection[int]) -> int:
    """How many steps lie behind these that are not drawn."""
    from networkx import descendants

    found: set[int] = set()
    for target in targets:
        found |= {target} | set(descendants(graph, target))
    return sum(is_step(graph, node) and node not in drawn for node in found)


def _reading_order(
    start: int, lines: Mapping[int, tuple[Line, ...]], walked: Collection[Way]
) -> tuple[list[int], dict[int, int]]:
    """The main line first, down to its end; then what branches off it, from the top, in the same way.

    A step stands where most vehicles come to it from; among equals where it is met first. The way of a case
    goes before any other, so that it is the main line.
    """
    into: dict[int, tuple[bool, float, int]] = {}
    for before in sorted(lines):
        for line in lines[before]:
            if line.to is not None and line.to in lines:
                came = (any(way in walked for way in line.ways), line.share, before)
                if line.to not in into or came[:2] > into[line.to][:2]:
                    into[line.to] = came
    below: dict[int, list[int]] = {at: [] for at in lines}
    for to in sorted(into, key=lambda to: (not into[to][0], -into[to][1], to)):
        below[into[to][2]].append(to)
    order: list[int] = []
    heads = [start]
    while heads:
        chain, branches = [heads.pop(0)], list[int]()
        while below[chain[-1]]:
            first, *others = below[chain[-1]]
            branches += others
            chain.append(first)
        order += chain
        heads += branches
    return order, {to: before for to, (_, _, before) in into.items()}
