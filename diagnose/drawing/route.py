"""A compiled route as a flow chart, in the symbols of ISO 5807, and as node-link JSON.

A question is a decision (diamond), a remedy a process (box), an end a terminator (rounded box). Ends are
drawn anew at each step that leads to them, so that lines do not cross the whole page. A route has far more
branches than a page holds: those that fewer vehicles take than a given share are cut off where they begin.
"""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import graphviz

from diagnose.drawing.labels import blank, by_word, in_100, label, shortened
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_LISTED, NOT_SURE, Tree

if TYPE_CHECKING:
    from networkx import MultiDiGraph

LEAST_SHARE = 0.03
"""Branches that fewer vehicles take are not drawn unless asked for."""
ENDS = ("cured", "referral", "stop", "handover")
OUTCOMES = {NOT_SURE: "not sure", CURED: "works now", NOT_CURED: "no better", COULD_NOT: "could not"}
LEGEND = (
    "Diamond: a question.  Box: something to put right.  Rounded: where it ends; STOP has a double border.",
    "Along each line: the answers, and of 100 vehicles at that step how many give them.",
    "Rare branches end in dots; what follows where a remedy could not be done is left out. JSON has it all.",
)


def route_json(graph: MultiDiGraph[int]) -> dict[str, Any]:
    """The route as networkx node-link data, its names being those of networkx (`nodes`, `edges`)."""
    from networkx import node_link_data

    data: dict[str, Any] = node_link_data(graph, edges="edges")
    return data


def route_dot(graph: MultiDiGraph[int], tree: Tree, least: float = LEAST_SHARE) -> str:
    """The DOT text of a route; steps that a smaller share of vehicles comes by than `least` are cut off."""
    drawn = blank(label(f"{tree.symptom} ({graph.graph['role']}'s route)", *LEGEND, width=120))
    drawn.attr("graph", rankdir="TB", nodesep="0.25", ranksep="0.4")
    names = {at: f"n{number}" for number, at in enumerate(_shown(graph, least))}
    for at, name in names.items():
        _add_step(drawn, name, graph.nodes[at], tree)
    ends = 0
    for at, name in names.items():
        for line in _lines(graph, at, tree, names):
            target = names.get(line.to) if line.to is not None else None
            if target is None:
                target, ends = f"e{ends}", ends + 1
                _add_end(drawn, target, graph.nodes[line.to] if line.to is not None else None, tree)
            drawn.edge(name, target, label(*line.answers, in_100(line.share), width=24))
    text: str = drawn.source
    return text


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of the picture: all answers of a step that lead to the same place, or None to the cut."""

    to: int | None
    answers: tuple[str, ...]
    share: float


def _shown(graph: MultiDiGraph[int], least: float) -> list[int]:
    """The steps that are drawn, in route order; ends apart."""
    kept = {graph.graph["start"]}
    for at in sorted(graph):
        if at in kept:
            following = (to for _, to, answer in graph.out_edges(at, keys=True) if answer != COULD_NOT)
            kept.update(to for to in following if _is_step(graph, to, least))
    return sorted(kept)


def _is_step(graph: MultiDiGraph[int], at: int, least: float) -> bool:
    node = graph.nodes[at]
    return node["kind"] not in ENDS and node["probability"] >= least


def _lines(graph: MultiDiGraph[int], at: int, tree: Tree, names: Container[int]) -> Iterator[_Line]:
    """The lines out of one step, in the order of its answers; all that is cut off shares one line."""
    to: dict[int | None, list[tuple[str, float]]] = {}
    for _, target, edge in graph.out_edges(at, data=True):
        if edge["answer"] != COULD_NOT:
            says = shortened(_says_answer(graph.nodes[at], edge["answer"], tree))
            drawn = target in names or graph.nodes[target]["kind"] in ENDS
            to.setdefault(target if drawn else None, []).append((says, edge["probability"]))
    for where, answers in to.items():
        says_all = tuple(says if len(answers) == 1 else f"• {says}" for says, _ in answers)
        yield _Line(where, says_all, sum(share for _, share in answers))


def _says_answer(node: dict[str, Any], answer: str, tree: Tree) -> str:
    if answer in OUTCOMES:
        return OUTCOMES[answer]
    check = tree.checks[node["of"]]
    band = next((band for band in check.bands if band.id == answer), None)
    if band is not None and check.reading is not None:
        return f"{answer} ({band.low:g} to {band.high:g} {check.reading.unit})"
    return next((each.says for each in check.answers if each.id == answer), answer) or answer


def _add_step(drawn: graphviz.Digraph, name: str, node: dict[str, Any], tree: Tree) -> None:
    hazard = by_word(node["hazard"])
    border = {"peripheries": "2"} if hazard else {}
    if node["kind"] == "check":
        parts = [tree.checks[node["of"]].ask, hazard]
        drawn.node(name, label(*filter(None, parts), width=22), shape="diamond", margin="0.01", **border)
    elif node["kind"] == "remedy":
        parts = [f"Put right: {_says_cut_set(node['of'], tree)}", _by_whom(node, tree), hazard]
        drawn.node(name, label(*filter(None, parts)), **border)
    else:
        _add_end(drawn, name, node, tree)


def _add_end(drawn: graphviz.Digraph, name: str, node: dict[str, Any] | None, tree: Tree) -> None:
    """A terminator; for None the cut where the picture does not follow the route further."""
    if node is None:
        drawn.node(name, label("…", "goes on, not drawn", width=20), shape="plaintext")
        return
    kind, of = node["kind"], node["of"]
    whom = tree.referrals[of].to if of in tree.referrals else of
    says = {
        "cured": "Cured",
        "stop": f"STOP, danger: {whom}",
        "referral": f"Refer: {whom}",
        "handover": f"Go on with the tree {of}",
    }[kind]
    double = {"peripheries": "2"} if kind == "stop" else {}
    drawn.node(name, label(says, width=24), style="rounded", **double)


def _says_cut_set(of: str, tree: Tree) -> str:
    if of == NOT_LISTED:
        return "something not listed"
    return " and ".join(tree.events[cause].says for cause in of.split("+"))


def _by_whom(node: dict[str, Any], tree: Tree) -> str:
    """Who does it and how long it takes; what to do in detail belongs on the screen, beside its cautions."""
    remedies = [tree.events[cause].remedy for cause in node["of"].split("+") if cause in tree.events]
    minutes = sum(remedy.minutes for remedy in remedies if remedy is not None)
    return f"By: {node['by']}, {minutes:g} min"
