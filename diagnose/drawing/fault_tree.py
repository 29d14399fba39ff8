"""A symptom's fault tree as a diagram, in the symbols of IEC 61025.

It lies on its side, the symptom to the left and the causes below each other to the right, which the standard
allows and which lets a sentence stand in every box. Gates have their distinctive shapes and the sign of
IEC 60617-12 in them. Each event is a rectangle with its words; the symbol after it tells what becomes of it:
a circle for a basic event that is put right here, a diamond for one that is not developed further (referred
on, folded or not listed), a triangle where it goes on elsewhere. (IEC 61025:2006, annex A, and NUREG-0492,
chapter IV, both from memory.) A hazard is said by a triangle with an exclamation mark, by a double border and
in words, never by colour alone.
"""

from __future__ import annotations

import graphviz

from diagnose.drawing.branches import Branch, branches
from diagnose.drawing.case_marks import NO_CASE, Marks
from diagnose.drawing.labels import STYLE, UNCHECKED, by_word, figure, label
from diagnose.drawing.learned import BY_FILE, Learned
from diagnose.drawing.symbols import ALL_OF, ANY_OF, HAZARD, INDENT, KEY, SIGNS
from diagnose.terms import Gate, Remedy, Tree

GATES: dict[Gate, str] = {"any_of": ANY_OF, "all_of": ALL_OF}
_WIDTHS = {"event": 20, "cause": 38}
"""Characters in a line."""
_INCHES = {"event": "1.55", "cause": "2.75"}
"""Boxes of a column are equally wide unless a text needs more."""
_KEY = {
    ANY_OF: "OR gate, ≥1: any one of these is enough.",
    ALL_OF: "AND gate, &: all of these together.",
    "circle": "Circle: a cause to put right here.",
    "diamond": "Diamond: not developed here: referred on, folded or not listed.",
    "triangle": "Triangle: goes on elsewhere: letter, page or tree.",
    HAZARD: by_word(["name"]).replace("name", "double border; its cautions come first."),
}
_KEY_OF_A_CASE = (
    "Now: with what was found in this case; lines are as wide as that. Dotted box: now under 1 of 100. "
    "Broken: tried. Heavy: it was this."
)
_HARDLY = 1.0
"""Of 100 vehicles; what is rarer after the findings is as good as ruled out."""


def fault_tree_dot(tree: Tree, down_to: float = 0.0, case: Marks = NO_CASE, past: Learned = BY_FILE) -> str:
    """The DOT text of the tree's events, gates and causes; the same text for the same tree.

    What fewer than `down_to` (a share of 1) of the vehicles have is folded, see `drawing.branches`; a case is
    marked on it. Shares are the file's, or as a store's cases make them (`past`).
    """
    return branch_dot(branches(tree, down_to, case, past), tree, case, past=past)


def branch_dot(
    top: Branch, tree: Tree, case: Marks = NO_CASE, page: int = 0, pages: int = 0, past: Learned = BY_FILE
) -> str:
    """The DOT text of one branch and what is below it, as one page of several if `pages` says so."""
    graph = _blank()
    columns = _columns(top)
    names = {id(branch): f"n{number}" for number, (branch, _) in enumerate(columns)}
    used: set[str] = set()
    for branch, column in columns:
        used |= _add(graph, names[id(branch)], branch, column, branch is top)
    for branch, _ in columns:
        for below in branch.below:
            graph.edge(f"{names[id(branch)]}g", names[id(below)], penwidth=_line(below.likely))
    if page > 1:
        graph.node("from", f"{page}", **_SYMBOLS["triangle"], shape="triangle")
        graph.edge("from", names[id(top)])
        used.add("triangle")
    checked = "" if tree.shipped else f"{UNCHECKED.capitalize()}."
    title = [f"Fault tree: {tree.id}", checked, case.head, f"Page {page} of {pages}" if pages else ""]
    _add_key(graph, used, [each for each in title if each], case, past)
    text: str = graph.source
    return text


def _columns(top: Branch) -> list[tuple[Branch, str]]:
    """Every branch with how wide its column is: narrow where any event of that depth goes on."""
    depths = {id(top): 0}
    for branch in top.all():
        depths |= {id(below): depths[id(branch)] + 1 for below in branch.below}
    narrow = {depths[id(branch)] for branch in top.all() if branch.gate is not None}
    return [(branch, "event" if depths[id(branch)] in narrow else "cause") for branch in top.all()]


def _blank() -> graphviz.Digraph:
    return graphviz.Digraph(
        "Fault tree",
        strict=True,
        graph_attr=STYLE | {"rankdir": "LR", "bgcolor": "white", "nodesep": "0.12", "ranksep": "0.18"},
        node_attr=STYLE | {"shape": "box", "margin": "0.1,0.05"},
        edge_attr={"arrowhead": "none"},
    )


def _add(graph: graphviz.Digraph, name: str, branch: Branch, column: str, root: bool) -> set[str]:
    """The box, and the gate or symbol after it; returns which symbols were used."""
    hazard = by_word(branch.hazards)
    marks = {"class": HAZARD, "peripheries": "2"} if hazard else {}
    if branch.note:
        marks |= {"style": "dashed"}
    elif branch.now is not None and branch.now < _HARDLY:
        marks |= {"style": "dotted"}
    if root or branch.found:
        marks |= {"penwidth": "3", "style": "solid"} if branch.found else {"penwidth": "2"}
    says, further = _says(branch)
    met = "" if branch.kind == "transfer" else branch.met
    one_line = f"{hazard}. {further}" if hazard and further else hazard or further
    rest = [one_line] if len(one_line) <= _WIDTHS[column] else [hazard, further]
    parts = [part for part in (branch.note, says, *rest, met, _now(branch)) if part]
    graph.node(name, label(*parts, width=_WIDTHS[column]), width=_INCHES[column], **marks)
    used = {HAZARD} if hazard else set()
    if branch.gate is not None:
        gate = GATES[branch.gate]
        size = {"width": "0.5", "height": "0.46", "fixedsize": "true", "margin": "0"}
        graph.node(f"{name}g", SIGNS[gate], **size, **{"class": gate})
        graph.edge(name, f"{name}g", penwidth=_line(branch.likely), weight="100")
        used.add(gate)
    else:
        shape = _symbol(branch)
        inside = (branch.mark or "→") if shape == "triangle" else figure(branch.share)
        graph.node(f"{name}s", inside, **_SYMBOLS[shape], shape=shape)
        graph.edge(name, f"{name}s", weight="100")
        used.add(shape)
    if branch.mark and branch.kind != "transfer":
        graph.node(f"{name}t", branch.mark, **_SYMBOLS["triangle"], shape="triangle")
        graph.edge(name if branch.gate else f"{name}s", f"{name}t")
        used.add("triangle")
    return used


_SYMBOLS = {
    shape: {"fixedsize": "true", "margin": "0", "width": width, "height": height}
    for shape, width, height in (
        ("circle", "0.42", "0.42"),
        ("diamond", "0.58", "0.5"),
        ("triangle", "0.58", "0.52"),
    )
}


def _symbol(branch: Branch) -> str:
    """What the standard draws below an event of this kind."""
    if branch.kind == "transfer":
        return "triangle"
    if branch.event is None or branch.event.remedy is None:
        return "diamond"
    return {"do": "circle", "refer": "diamond", "see": "triangle"}[branch.event.remedy.kind]


def _says(branch: Branch) -> tuple[str, str]:
    """What the event is, and what there is to say of it beside its hazards."""
    here = f"{figure(branch.share)} of 100"
    if branch.kind == "folded":
        return f"{branch.causes} rarer causes, not drawn", f"{here} together"
    if branch.kind == "transfer":
        where = f"page {branch.mark}" if branch.mark.isdigit() else branch.mark
        return branch.says, f"{here}, see {where}" + (f" on page {branch.page}" if branch.page else "")
    if branch.gate is not None:
        return branch.says, here
    remedy = branch.event.remedy if branch.event is not None else None
    if remedy is not None and remedy.kind == "see":
        return branch.says, f"{here}, see {remedy.text}"
    return branch.says, _put_right(remedy) if remedy is not None else ""


def _now(branch: Branch) -> str:
    """What a case's findings make of it."""
    return "" if branch.now is None else f"Now {figure(branch.now)} of 100"


def _put_right(remedy: Remedy) -> str:
    """In a few words, by whom a cause is put right and how long that takes."""
    if remedy.kind == "refer":
        return f"Refer to: {remedy.text.replace('-', ' ')}"
    return f"{remedy.by.capitalize()}, {remedy.minutes:g} min"


def _line(share: float) -> str:
    """The width of a branch's line in points: thin for a rare one, six for all hundred."""
    return f"{0.6 + share * 0.054:.2f}"


def _add_key(graph: graphviz.Digraph, used: set[str], title: list[str], case: Marks, past: Learned) -> None:
    """What the symbols mean that are on this drawing; those are drawn before the lines."""
    lines = [
        *title,
        "Numbers: of 100 vehicles with this symptom. The thicker the line, the more.",
        *([past.key()] if past.asked else []),
        *([_KEY_OF_A_CASE] if case.now else []),
        *(INDENT + text.removeprefix(INDENT) for symbol, text in _KEY.items() if symbol in used),
    ]
    graph.node("key", label(*lines, width=27, left=True), shape="plaintext", **{"class": KEY})
