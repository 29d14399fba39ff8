"""A symptom's fault tree as a diagram, in the symbols of IEC 61025.

Read from left to right: the symptom, the events that bring it about, and the causes with how many of a
hundred vehicles have each. A gate is a small box with the sign of IEC 60617-12: `>=1` where any one of its
inputs is enough, `&` where all are needed together. A hazard is said in words and by a double border, never
by colour alone.
"""

from __future__ import annotations

import graphviz

from diagnose.drawing.labels import blank, by_word, label
from diagnose.terms import TOP, Event, Remedy, Tree

GATE_SIGNS = {"any_of": "≥1", "all_of": "&"}
LEGEND = (
    "≥1: any one of these is enough.  &: all of these together.",
    "Circle: of 100 vehicles with this symptom, how many have this cause.",
    "Double border: a hazard, named in the box.",
)


def fault_tree_dot(tree: Tree) -> str:
    """The DOT text of the tree's events, gates and causes; the same text for the same tree."""
    names = {id: f"n{number}" for number, id in enumerate(tree.events)}
    hidden = f"{tree.not_listed:g} of 100 have something that is not listed here."
    graph = blank(label(tree.symptom, *LEGEND, hidden, width=120))
    for event in tree.events.values():
        if event.gate is None:
            _add_cause(graph, names[event.id], event)
        else:
            _add_event(graph, names[event.id], event, tree)
    for event in tree.events.values():
        for below in event.inputs:
            graph.edge(f"{names[event.id]}g", names[below])
    text: str = graph.source
    return text


def _add_event(graph: graphviz.Digraph, name: str, event: Event, tree: Tree) -> None:
    """A box with what the event is, and its gate to the right of it."""
    assert event.gate is not None
    says = tree.symptom if event.id == TOP else event.says
    share = f"{event.in_100:g} in 100" if event.in_100 is not None else ""
    parts = [part for part in (says, share, by_word(event.own_hazards)) if part]
    graph.node(name, label(*parts), **_border(event), **({"style": "bold"} if event.id == TOP else {}))
    graph.node(f"{name}g", GATE_SIGNS[event.gate], shape="square", margin="0.02", width="0.3", fontsize="12")
    graph.edge(name, f"{name}g", arrowhead="none")


def _add_cause(graph: graphviz.Digraph, name: str, event: Event) -> None:
    """A box with what the cause is and how it is put right, and a circle with its share."""
    remedy = put_right(event.remedy) if event.remedy is not None else ""
    parts = [part for part in (event.says, by_word(event.hazards), remedy) if part]
    graph.node(name, label(*parts, width=44), **_border(event))
    share = f"{event.in_100:g}" if event.in_100 is not None else "–"
    graph.node(f"{name}c", share, shape="circle", margin="0", width="0.4", fixedsize="true")
    graph.edge(name, f"{name}c", arrowhead="none")


def put_right(remedy: Remedy) -> str:
    """In a few words, by whom a cause is put right and how long that takes."""
    if remedy.kind == "refer":
        return f"Referred to: {remedy.text}"
    if remedy.kind == "see":
        return f"See the tree {remedy.text}"
    return f"Put right by: {remedy.by}, {remedy.minutes:g} min"


def _border(event: Event) -> dict[str, str]:
    return {"peripheries": "2"} if event.hazards - {"none"} else {}
