"""What a route would have cost in past cases: along the answers that are known, the others by their chance.

From the first step on, each case's weight goes along the edge of the answer that it is known to have; where
none is known it is divided by P(answer | true cause) and `not_sure` (methods: replay), remedies by how surely
they cure. What is spent on the way, weighed, is the case's cost: minutes as a route counts them, with the way
to a place paid once. Many cases go through the route at once, an array to each step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.closing import access_minutes
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route, RouteNode
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_SURE

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known of one case that a route asks for."""

    truth: int
    """The index of what it turned out to be."""
    answers: Mapping[str, str]
    """Check -> answer, *not sure* among them."""
    tried: Mapping[str, str]
    """Cut set -> `cured`, `not-cured` or `could-not`."""
    chances: Callable[[str], Array]
    """Check -> P(answer | true cause)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Visit:
    """One step with certain places reached before it."""

    node: RouteNode
    spent: float | Array
    """Minutes spent here: one figure, or at an ending one for each hypothesis."""
    onward: tuple[tuple[str, int], ...]
    """(answer, place of the next visit)"""


class WalkedAgain:
    """A route that past cases are sent along; `model` is that of its role."""

    def __init__(self, route: Route, model: Model) -> None:
        self._model = model
        self._visits = _visits(route, model)

    def minutes(self, cases: Sequence[Known]) -> tuple[Array, NDArray[np.bool_]]:
        """Minutes for each case, and whether an answer that is not known had to be weighed for it."""
        number = len(cases)
        truths = np.array([each.truth for each in cases], dtype=np.intp)
        chances: dict[tuple[str, str], tuple[Mapping[str, Array], NDArray[np.bool_]]] = {}
        arriving: list[Array | None] = [None] * len(self._visits)
        arriving[0] = np.ones(number)
        total, weighed = np.zeros(number), np.zeros(number, dtype=bool)
        for at, visit in enumerate(self._visits):
            mass, arriving[at] = arriving[at], None
            if mass is None or not mass.any():
                continue
            spent = visit.spent if isinstance(visit.spent, float) else visit.spent[truths]
            total += mass * spent
            if not visit.onward:
                continue
            key = (visit.node.kind, visit.node.of)
            if key not in chances:
                chances[key] = self._chances(visit.node, cases, truths)
            ways, unknown = chances[key]
            weighed |= unknown & (mass > 0)
            for answer, to in visit.onward:
                onward = arriving[to]
                along = mass * ways[answer]
                arriving[to] = along if onward is None else onward + along
        return total, weighed

    def _chances(
        self, node: RouteNode, cases: Sequence[Known], truths: NDArray[np.intp]
    ) -> tuple[Mapping[str, Array], NDArray[np.bool_]]:
        """For each answer its chance in each case, and in which cases it is not known."""
        if node.kind == "check":
            return self._of_check(node.of, cases)
        remedy = self._model.remedies[self._model.remedy_index[node.of]]
        told = [each.tried.get(node.of, "") for each in cases]
        unknown = np.array([not how for how in told]) & (truths == remedy.hypothesis)
        cured = np.where(unknown, remedy.cures, [float(how == CURED) for how in told])
        could_not = np.array([float(how == COULD_NOT) for how in told])
        return {CURED: cured, NOT_CURED: 1 - cured - could_not, COULD_NOT: could_not}, unknown

    def _of_check(self, check: str, cases: Sequence[Known]) -> tuple[Mapping[str, Array], NDArray[np.bool_]]:
        asked = self._model.tree.checks[check]
        ids = (*asked.answer_ids(), NOT_SURE)
        place = {id: at for at, id in enumerate(ids)}
        table = np.zeros((len(ids), len(cases)))
        unknown = np.zeros(len(cases), dtype=bool)
        for line, case in enumerate(cases):
            answer = case.answers.get(check)
            if answer is None:
                table[:-1, line] = (1 - asked.not_sure) * case.chances(check)
                table[-1, line] = asked.not_sure
                unknown[line] = True
            else:
                table[place[answer], line] = 1.0
        return dict(zip(ids, table, strict=True)), unknown


def _visits(route: Route, model: Model) -> list[_Visit]:
    """Every step by the places reached before it, in an order in which every edge leads forward."""
    reached: list[dict[int, None]] = [{} for _ in route.nodes]
    reached[route.start][0] = None
    for at, node in enumerate(route.nodes):
        for before in reached[at]:
            for edge in node.edges.values():
                reached[edge.to][before | _places(model, node)] = None
    index = {
        key: at for at, key in enumerate((node, before) for node, all in enumerate(reached) for before in all)
    }
    visits = []
    for at, before in index:
        node = route.nodes[at]
        now = before | _places(model, node)
        onward = tuple((answer, index[edge.to, now]) for answer, edge in node.edges.items())
        visits.append(_Visit(node, _spent(model, node, before), onward))
    return visits


def _places(model: Model, node: RouteNode) -> int:
    if node.kind == "check":
        return model.checks[model.check_index[node.of]].places
    return model.remedies[model.remedy_index[node.of]].places if node.kind == "remedy" else 0


def _spent(model: Model, node: RouteNode, before: int) -> float | Array:
    if node.kind == "cured":
        return 0.0
    if node.kind in ("check", "remedy"):
        way = float(access_minutes(model, np.array([_places(model, node) & ~before]))[0])
        if node.kind == "check":
            return float(model.checks[model.check_index[node.of]].cost) + way
        return float(model.remedies[model.remedy_index[node.of]].cost) + way
    kind = "handover" if node.kind == "handover" else "referral"
    matching = [each for each in model.endings if each.step.kind == kind and each.step.of == node.of]
    # A tree is handed over to for the likeliest of the causes that point to it.
    ending = max(matching, key=lambda each: float(np.array(node.shares) @ each.serves))
    return np.asarray(ending.minutes + model.refer_cost * (1 - ending.serves))
