"""Proves that a compiled route keeps the safety rules, apart from the code that compiled it.

Whoever compiles asks `allowing` what may be done; this module never does. It reads the finished graph and
looks for a path that breaks a rule. It can prove the steps as they are described: it cannot know what a
careless text means. Work: nodes plus edges; rule 3 follows beliefs only to the nodes where its condition
could be met at all.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

from diagnose.reasoning.graph import hazard_cautions, step_hazards
from diagnose.reasoning.model import Model
from diagnose.reasoning.proof_of_referring import must_have_referred
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_SURE, DiagnoseError, Remedy

if TYPE_CHECKING:
    from networkx import MultiDiGraph

    Graph: TypeAlias = MultiDiGraph[int]

RULES = (1, 2, 3, 4, 5, 6, 7)
_NO_TOOLS = {"gas", "mains", "fuel", "refrigerant"}
_NO_OWNERS_TOOLS = {"road", "height"}
_ENDINGS = {"referral", "stop", "handover", "cured"}
_MOVES = re.compile(
    r"(?:^|[.;:,]\s*|\bthen\s+)(?:drive|move|roll|push|tow|pull)\b(?!\s+out\b)", re.IGNORECASE
)


class UnsafeRoute(DiagnoseError):
    """A route breaks a safety rule: which one, and the path that breaks it."""

    def __init__(self, rule: int, why: str, path: str) -> None:
        self.rule, self.why, self.path = rule, why, path
        super().__init__(f"the route breaks safety rule {rule}, {why}: {path}")


def prove(graph: Graph, model: Model) -> tuple[int, ...]:
    """The numbers of the rules proved, all of them; raises UnsafeRoute at the first that is broken."""
    order = _in_order(graph)
    _every_answer_leads_on(graph, model)
    _asks_first_and_stops(graph, model)
    _tools_where_allowed(graph, model)
    _few_starts(graph, model, order)
    _cautions_come_first(graph, model, order)
    _cures_are_asked_for(graph, model)
    found = must_have_referred(graph, model, order)
    if found is not None:
        raise UnsafeRoute(3, "a step other than a referral where only that is left", _told(graph, *found))
    return RULES


def _every_answer_leads_on(graph: Graph, model: Model) -> None:
    """Rule 4: an edge for every answer, and every path ends as it should."""
    for at, node in graph.nodes(data=True):
        answers = [answer for _, _, answer in graph.out_edges(at, keys=True)]
        if node["kind"] in _ENDINGS and node["of"] in _ends(model, node["kind"]):
            wanted: set[str] = set()
        elif node["kind"] == "remedy" and _done(model, node["of"]):
            wanted = {CURED, NOT_CURED, COULD_NOT}
        elif node["kind"] == "check" and node["of"] in model.tree.checks:
            wanted = {*model.tree.checks[node["of"]].answer_ids(), NOT_SURE}
        else:
            raise UnsafeRoute(4, "it holds a step that is none", _path(graph, at))
        if set(answers) != wanted or len(answers) != len(wanted):
            raise UnsafeRoute(4, "an answer leads nowhere", _path(graph, at))


def _ends(model: Model, kind: str) -> Container[str]:
    """What an end of a kind may name: somebody to refer to, a tree to hand over to, a cure."""
    if kind == "cured":
        return (CURED,)
    if kind == "handover":
        return {c.remedy.text for c in model.tree.causes() if c.remedy and c.remedy.kind == "see"}
    return model.tree.referrals


def _asks_first_and_stops(graph: Graph, model: Model) -> None:
    """Rule 1: what is asked first comes first, in order; every stop answer leads straight to its stop."""
    tree = model.tree
    here = {graph.graph["start"]}
    for id in tree.ask_first:
        for at in here:
            node = graph.nodes[at]
            if (node["kind"], node["of"]) != ("check", id):
                raise UnsafeRoute(1, f'"{id}" is not asked first', _path(graph, at))
        here = {
            to
            for at in here
            for _, to, answer in graph.out_edges(at, keys=True)
            if answer not in tree.checks[id].stop_on and answer != NOT_SURE
        }
    first = set(tree.ask_first)
    for at, node in graph.nodes(data=True):
        if node["kind"] != "check":
            continue
        check = tree.checks[node["of"]]
        for _, to, answer in graph.out_edges(at, keys=True):
            stops = answer in check.stop_on or (answer == NOT_SURE and check.id in first)
            target = graph.nodes[to]
            if stops != (target["kind"] == "stop") or (stops and target["of"] != check.refer):
                raise UnsafeRoute(1, "a stop answer does not stop", _path(graph, to, last=(at, answer)))


def _tools_where_allowed(graph: Graph, model: Model) -> None:
    """Rule 2: no tools under a hazard that forbids them, and no step that is not this person's."""
    for at, node in graph.nodes(data=True):
        if node["kind"] not in ("check", "remedy"):
            continue
        hazards, hands, by = _as_described(model, node["kind"], node["of"])
        told = (set(node["hazard"]), node["hands"], node["by"])
        if (
            told != (hazards, hands, by)
            or (hands == "tools" and hazards & _NO_TOOLS)
            or (hands == "tools" and by == "owner" and hazards & _NO_OWNERS_TOOLS)
            or (model.role == "owner" and by != "owner")
            or not model.cannot.isdisjoint(_needs(model, node["kind"], node["of"]))
        ):
            raise UnsafeRoute(2, "somebody does what is not for them", _path(graph, at))


def _as_described(model: Model, kind: str, of: str) -> tuple[set[str], str, str]:
    """Hazards, hands and person of a step, straight from the tree."""
    tree = model.tree
    if kind == "check":
        check = tree.checks[of]
        return set(check.hazards), check.hands, check.by
    remedies = _done(model, of)
    hazards = {hazard for cause in of.split("+") for hazard in tree.events[cause].hazards}
    hazards = hazards.union(*(remedy.hazards for remedy in remedies))
    hands = next((h for h in ("tools", "controls") if any(r.hands == h for r in remedies)), "look")
    by = "technician" if any(remedy.by == "technician" for remedy in remedies) else "owner"
    return hazards, hands, by


def _needs(model: Model, kind: str, of: str) -> set[str]:
    """What a step asks of the body, straight from the tree; the first questions are asked of everybody."""
    if kind == "check":
        return set() if of in model.tree.ask_first else set(model.tree.checks[of].needs)
    return {need for remedy in _done(model, of) for need in remedy.needs}


def _done(model: Model, of: str) -> list[Remedy]:
    """What is done to put a cut set right, straight from the tree; nothing if any of it is not done."""
    causes = tuple(of.split("+"))
    if causes not in model.tree.cut_sets:
        return []
    remedies = [model.tree.events[cause].remedy for cause in causes]
    done = [remedy for remedy in remedies if remedy and remedy.kind == "do"]
    return done if len(done) == len(causes) else []


def _few_starts(graph: Graph, model: Model, order: list[int]) -> None:
    """Rule 6: the most starts, and the most restorings of the mains, on any path; no step comes twice."""
    _never_twice(graph, order)
    tries = model.tree.tries
    starts, restores = _Most(graph), _Most(graph)
    for at in order:
        node = graph.nodes[at]
        starting, restoring = _uses(model, node["kind"], node["of"])
        if tries is not None and starts.count[at] + starting > tries:
            raise UnsafeRoute(6, f"more than {tries} starts", _told(graph, starts.steps_to(at), at))
        if restores.count[at] + restoring > 1:
            raise UnsafeRoute(6, "the mains are restored twice", _told(graph, restores.steps_to(at), at))
        for _, to, answer in graph.out_edges(at, keys=True):
            starts.pass_on(at, to, answer, starting)
            restores.pass_on(at, to, answer, restoring)


def _never_twice(graph: Graph, order: list[int]) -> None:
    """Rule 4 again: on no path does a step come twice."""
    done: dict[int, dict[tuple[str, str], int]] = {at: {} for at in graph}
    for at in order:
        key = (graph.nodes[at]["kind"], graph.nodes[at]["of"])
        if key in done[at]:
            steps = _steps(graph, graph.graph["start"], done[at][key]) + _steps(graph, done[at][key], at)
            raise UnsafeRoute(4, "a step comes twice on one path", _told(graph, steps, at))
        for to in graph.successors(at):
            done[to] |= done[at] | {key: at}


class _Most:
    """The most that is counted on any path to each node, and the path that counts it."""

    def __init__(self, graph: Graph) -> None:
        self.count = dict.fromkeys(graph, 0)
        self._by: dict[int, tuple[int, str]] = {}

    def pass_on(self, at: int, to: int, answer: str, counts: int) -> None:
        """Along one edge; what could not be done counts for nothing."""
        count = self.count[at] + (0 if answer == COULD_NOT else counts)
        if to not in self._by or count > self.count[to]:
            self.count[to], self._by[to] = count, (at, answer)

    def steps_to(self, at: int) -> list[tuple[int, str]]:
        """(node, answer) pairs from the start."""
        steps: list[tuple[int, str]] = []
        while at in self._by:
            steps.append(self._by[at])
            at, _ = self._by[at]
        return steps[::-1]


def _uses(model: Model, kind: str, of: str) -> tuple[int, int]:
    """Whether a step starts the appliance, and whether it restores the mains."""
    if kind == "check":
        check = model.tree.checks[of]
        return int(check.starts), int(check.restores_mains)
    if kind == "remedy":
        return 1, int(any(remedy.restores_mains for remedy in _done(model, of)))
    return 0, 0


def _cautions_come_first(graph: Graph, model: Model, order: list[int]) -> None:
    """Rule 5: whatever the path, a caution has been shown when the first step comes that carries it."""
    shown: dict[int, frozenset[str]] = {}
    for at in order:
        before = [shown[source] for source in graph.predecessors(at)]
        known = frozenset.intersection(*before) if before else frozenset()
        shown[at] = known | frozenset(graph.nodes[at]["cautions"])
        missing = {*model.tree.cautions, *_cautions_of(model, graph.nodes[at])} - shown[at]
        if missing:
            named = ", ".join(sorted(missing))
            path = _path(_unwarned(graph, min(missing)), at)
            raise UnsafeRoute(5, f"a caution is not shown in time ({named})", path)


def _unwarned(graph: Graph, caution: str) -> Graph:
    """The part of a graph in which a caution is not shown."""
    return graph.subgraph([at for at, shown in graph.nodes(data="cautions") if caution not in shown])


def _cautions_of(model: Model, node: Mapping[str, str]) -> tuple[str, ...]:
    """The cautions of a step's own hazards; the fixed questions carry none."""
    if node["kind"] == "remedy" or (node["kind"] == "check" and not model.tree.checks[node["of"]].fixed):
        return hazard_cautions(model.tree, step_hazards(model, node["kind"], node["of"]))
    return ()


def _cures_are_asked_for(graph: Graph, model: Model) -> None:
    """Rule 7: only a remedy's *cured* ends in a cure; under road nobody is told to move the vehicle."""
    for at, to, answer in graph.edges(keys=True):
        is_cure = graph.nodes[to]["kind"] == "cured"
        if is_cure != (graph.nodes[at]["kind"] == "remedy" and answer == CURED):
            raise UnsafeRoute(7, "a cure that nobody was asked about", _path(graph, to, last=(at, answer)))
    if not model.tree.cured_when.ask:
        raise UnsafeRoute(7, "nothing is asked before a cure", "start")
    for at, node in graph.nodes(data=True):
        if "road" in node["hazard"] and any(map(_MOVES.search, _texts(model, node["kind"], node["of"]))):
            raise UnsafeRoute(7, "a step under road asks to move the vehicle", _path(graph, at))


def _texts(model: Model, kind: str, of: str) -> Iterable[str]:
    if kind == "check":
        check = model.tree.checks[of]
        return (check.ask, check.how)
    return [text for remedy in _done(model, of) for text in (remedy.text, remedy.how)]


def _in_order(graph: Graph) -> list[int]:
    """The nodes so that every edge leads forward; rule 4 asks for such an order."""
    from networkx import NetworkXUnfeasible, find_cycle, topological_sort

    try:
        return list(topological_sort(graph))
    except NetworkXUnfeasible:
        at = find_cycle(graph)[0][0]
        raise UnsafeRoute(4, "it goes round in a circle", _path(graph, at)) from None


def _path(graph: Graph, at: int, last: tuple[int, str] | None = None) -> str:
    """A path from the start to a node, as short as there is; `last` is the edge that it has to end with."""
    start = graph.graph["start"]
    steps = _steps(graph, start, at) if last is None else [*_steps(graph, start, last[0]), last]
    return _told(graph, steps, at)


def _steps(graph: Graph, start: int, at: int) -> list[tuple[int, str]]:
    """(node, answer) pairs from one node to another; none where no path leads there."""
    from networkx import NetworkXNoPath, shortest_path

    try:
        nodes = shortest_path(graph, start, at)
    except NetworkXNoPath:
        return []
    return [(source, min(graph[source][to])) for source, to in pairwise(nodes)]


def _told(graph: Graph, steps: list[tuple[int, str]], at: int) -> str:
    """The path in words, such as `start > hob-flame: none > remedy regulator-blocked (tools, gas)`."""
    said = ["start", *(f"{graph.nodes[node]['of']}: {answer}" for node, answer in steps)]
    node = graph.nodes[at]
    brackets = [node["hands"], *node["hazard"]] if node.get("hands") else []
    about = f" ({', '.join(brackets)})" if brackets else ""
    return " > ".join([*said, f"{node['kind']} {node['of']}{about}"])
