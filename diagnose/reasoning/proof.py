"""Proves that a compiled route keeps the safety rules, apart from the code that compiled it.

Whoever compiles asks `allowing` what may be done; this module never does. It reads the finished graph and
looks for a path that breaks a rule. It can prove the steps as they are described: it cannot know what a
careless text means. Work: nodes plus edges; rule 3 follows beliefs only to the nodes where its condition
could be met at all.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from typing import TYPE_CHECKING, TypeAlias

from diagnose.reasoning.graph import hazard_cautions, step_hazards
from diagnose.reasoning.model import Model
from diagnose.reasoning.proof_of_referring import must_have_referred
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_SURE, DiagnoseError

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
    order = _in_order(graph, model)
    _every_answer_leads_on(graph, model)
    _asks_first_and_stops(graph, model)
    _tools_where_allowed(graph, model)
    _few_starts(graph, model, order)
    _cautions_come_first(graph, model, order)
    _cures_are_asked_for(graph, model)
    found = must_have_referred(graph, model, order)
    if found is not None:
        raise UnsafeRoute(
            3, "a step other than a referral where only that is left", _told(graph, model, *found)
        )
    return RULES


def _every_answer_leads_on(graph: Graph, model: Model) -> None:
    """Rule 4: an edge for every answer, and every path ends as it should."""
    for at, node in graph.nodes(data=True):
        answers = [answer for _, _, answer in graph.out_edges(at, keys=True)]
        if node["kind"] in _ENDINGS and node["of"] in _ends(model, node["kind"]):
            wanted: set[str] = set()
        elif node["kind"] == "remedy":
            wanted = {CURED, NOT_CURED, COULD_NOT}
        elif node["kind"] == "check" and node["of"] in model.tree.checks:
            wanted = {*model.tree.checks[node["of"]].answer_ids(), NOT_SURE}
        else:
            raise UnsafeRoute(4, "it holds a step that is none", _path(graph, model, at))
        if set(answers) != wanted or len(answers) != len(wanted):
            raise UnsafeRoute(4, "an answer leads nowhere", _path(graph, model, at))


def _ends(model: Model, kind: str) -> Container[str]:
    """What an end of a kind may name: somebody to refer to, a tree to hand over to, a cure."""
    if kind == "cured":
        return (CURED,)
    if kind == "handover":
        return {c.remedy.text for c in model.tree.causes() if c.remedy is not None and c.remedy.kind == "see"}
    return model.tree.referrals


def _asks_first_and_stops(graph: Graph, model: Model) -> None:
    """Rule 1: what is asked first comes first, in order; every stop answer leads straight to its stop."""
    tree = model.tree
    here = {graph.graph["start"]}
    for id in tree.ask_first:
        for at in here:
            node = graph.nodes[at]
            if (node["kind"], node["of"]) != ("check", id):
                raise UnsafeRoute(1, f'"{id}" is not asked first', _path(graph, model, at))
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
                raise UnsafeRoute(
                    1, "a stop answer does not stop", _path(graph, model, to, last=(at, answer))
                )


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
        ):
            raise UnsafeRoute(2, "somebody does what is not for them", _path(graph, model, at))


def _as_described(model: Model, kind: str, of: str) -> tuple[set[str], str, str]:
    """Hazards, hands and person of a step, straight from the tree."""
    tree = model.tree
    if kind == "check":
        check = tree.checks[of]
        return set(check.hazards) - {"none"}, check.hands, check.by
    events = [tree.events[cause] for cause in of.split("+")]
    remedies = [event.remedy for event in events if event.remedy is not None and event.remedy.kind == "do"]
    hazards = {hazard for event in events for hazard in event.hazards}
    hazards |= {hazard for remedy in remedies for hazard in remedy.hazards}
    hands = next((h for h in ("tools", "controls") if any(r.hands == h for r in remedies)), "look")
    by = "technician" if any(remedy.by == "technician" for remedy in remedies) else "owner"
    if len(remedies) < len(events):
        by = "somebody qualified"
    return hazards - {"none"}, hands, by


def _few_starts(graph: Graph, model: Model, order: list[int]) -> None:
    """Rule 6: the most starts, and the most restorings of the mains, on any path; no step comes twice."""
    tries = model.tree.tries
    starts, restores = dict.fromkeys(graph, 0), dict.fromkeys(graph, 0)
    done: dict[int, frozenset[str]] = dict.fromkeys(graph, frozenset())
    for at in order:
        node = graph.nodes[at]
        key = f"{node['kind']} {node['of']}"
        if key in done[at]:
            raise UnsafeRoute(4, "a step comes twice on one path", _path(graph, model, at))
        starting, restoring = _uses(model, node["kind"], node["of"])
        if tries is not None and starts[at] + starting > tries:
            raise UnsafeRoute(6, f"more than {tries} starts", _path(graph, model, at, count=starts))
        if restores[at] + restoring > 1:
            raise UnsafeRoute(6, "the mains are restored twice", _path(graph, model, at, count=restores))
        for _, to, answer in graph.out_edges(at, keys=True):
            used = 0 if answer == COULD_NOT else starting
            starts[to] = max(starts[to], starts[at] + used)
            restores[to] = max(restores[to], restores[at] + (0 if answer == COULD_NOT else restoring))
            if node["kind"] in ("check", "remedy"):
                done[to] = done[to] | done[at] | {key}


def _uses(model: Model, kind: str, of: str) -> tuple[int, int]:
    """Whether a step starts the appliance, and whether it restores the mains."""
    if kind == "check":
        check = model.tree.checks[of]
        return int(check.starts), int(check.restores_mains)
    if kind == "remedy":
        remedies = [model.tree.events[cause].remedy for cause in of.split("+")]
        return 1, int(any(remedy is not None and remedy.restores_mains for remedy in remedies))
    return 0, 0


def _cautions_come_first(graph: Graph, model: Model, order: list[int]) -> None:
    """Rule 5: whatever the path, a caution has been shown when the first step comes that carries it."""
    shown: dict[int, frozenset[str]] = {}
    for at in order:
        before = [shown[source] for source in graph.predecessors(at)]
        known = frozenset.intersection(*before) if before else frozenset()
        shown[at] = known | frozenset(graph.nodes[at]["cautions"])
        missing = set(_cautions_wanted(graph, model, at)) - shown[at]
        if missing:
            named = ", ".join(sorted(missing))
            raise UnsafeRoute(5, f"a caution is not shown in time ({named})", _path(graph, model, at))


def _cautions_wanted(graph: Graph, model: Model, at: int) -> tuple[str, ...]:
    node = graph.nodes[at]
    wanted: list[str] = list(model.tree.cautions) if at == graph.graph["start"] else []
    if node["kind"] == "remedy" or (node["kind"] == "check" and not model.tree.checks[node["of"]].fixed):
        wanted += hazard_cautions(model.tree, step_hazards(model, node["kind"], node["of"]))
    return tuple(wanted)


def _cures_are_asked_for(graph: Graph, model: Model) -> None:
    """Rule 7: only a remedy's *cured* ends in a cure; under road nobody is told to move the vehicle."""
    for at, to, answer in graph.edges(keys=True):
        is_cure = graph.nodes[to]["kind"] == "cured"
        if is_cure != (graph.nodes[at]["kind"] == "remedy" and answer == CURED):
            raise UnsafeRoute(
                7, "a cure that nobody was asked about", _path(graph, model, to, last=(at, answer))
            )
    if not model.tree.cured_when.ask:
        raise UnsafeRoute(7, "nothing is asked before a cure", "start")
    for at, node in graph.nodes(data=True):
        if "road" in node.get("hazard", ()) and any(
            map(_MOVES.search, _texts(model, node["kind"], node["of"]))
        ):
            raise UnsafeRoute(7, "a step under road asks to move the vehicle", _path(graph, model, at))


def _texts(model: Model, kind: str, of: str) -> Iterable[str]:
    if kind == "check":
        check = model.tree.checks[of]
        return (check.ask, check.how)
    remedies = [model.tree.events[cause].remedy for cause in of.split("+")]
    return [text for r in remedies if r is not None for text in (r.text, r.how)]


def _in_order(graph: Graph, model: Model) -> list[int]:
    """The nodes so that every edge leads forward; rule 4 asks for such an order."""
    from networkx import NetworkXUnfeasible, find_cycle, topological_sort

    try:
        return list(topological_sort(graph))
    except NetworkXUnfeasible:
        at = find_cycle(graph)[0][0]
        raise UnsafeRoute(4, "it goes round in a circle", _path(graph, model, at)) from None


def _path(
    graph: Graph,
    model: Model,
    at: int,
    last: tuple[int, str] | None = None,
    count: dict[int, int] | None = None,
) -> str:
    """A path from the start to a node; along `count` where the path that counts most is wanted."""
    steps = _steps_to(graph, at if last is None else last[0], count)
    if last is not None:
        steps.append(last)
    return _told(graph, model, steps, at)


def _steps_to(graph: Graph, at: int, count: dict[int, int] | None) -> list[tuple[int, str]]:
    """(node, answer) pairs from the start; walks backwards, by the predecessor that counts most."""
    steps: list[tuple[int, str]] = []
    seen = {at}
    while at != graph.graph["start"]:
        sources = [edge for edge in graph.in_edges(at, keys=True) if edge[0] not in seen]
        if not sources:
            break
        source, _, answer = max(sources, key=lambda e: (count[e[0]] if count else 0, -e[0]))
        steps.append((source, answer))
        seen.add(source)
        at = source
    return steps[::-1]


def _told(graph: Graph, model: Model, steps: list[tuple[int, str]], at: int) -> str:
    """The path in words, such as `start > hob-flame: none > remedy regulator-blocked (tools, gas)`."""
    said = ["start", *(f"{graph.nodes[node]['of']}: {answer}" for node, answer in steps)]
    node = graph.nodes[at]
    brackets = [node["hands"], *node["hazard"]] if node.get("hands") else []
    about = f" ({', '.join(brackets)})" if brackets else ""
    return " > ".join([*said, f"{node['kind']} {node['of']}{about}"])
