"""From a model to its route: the same step function, unrolled over every answer.

States are unrolled layer by layer (a layer holds those with the same number of steps behind them); states
of one layer with the same sets and the same belief (to 1e-9) are one. A branch whose probability falls
under 1e-4 asks nothing more and closes. Then, from the last layer back, equal sub-routes become one node.
Work: states times the planner's work for one; no state is visited twice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.decisions import by_closing, step_of
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import Planner, planner_from
from diagnose.reasoning.route import Edge, NodeKind, Route, RouteNode
from diagnose.reasoning.states import States, joined, state_of
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_SURE, Situation, Step

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

IMPROBABLE = 1e-4
"""Below this a branch asks nothing more."""
ROUNDING = 1e9


@dataclass(slots=True, eq=False)
class _Layer:
    """States with the same number of steps behind them; belief is normalised, mass apart."""

    states: States
    mass: Array
    codes: Ints
    outcomes: list[list[tuple[str, float, Step | int]]] = field(default_factory=list)
    """For each state: answer, its chance there, and an ending or the child's place in the next layer."""


def compile_route(model: Model) -> Route:
    """The whole route of a model from its first question; deterministic."""
    root = state_of(model, Situation())
    planner = planner_from(model, root)
    layers = [_layer(model, planner, root, np.ones(1))]
    while True:
        following = _unroll(model, planner, layers[-1])
        if following is None:
            return _merged(model, layers)
        layers.append(following)


def _layer(model: Model, planner: Planner, states: States, mass: Array) -> _Layer:
    """Decides a layer: improbable states close, the others are planned."""
    codes = np.empty(len(states), dtype=np.int64)
    likely = mass >= IMPROBABLE
    if likely.any():
        codes[likely] = planner.decide(states.take(likely))
    if not likely.all():
        codes[~likely] = by_closing(model, states.take(~likely))
    return _Layer(states, mass, codes, [[] for _ in range(len(states))])


@dataclass(slots=True, eq=False)
class _Batch:
    """What follows one outcome of one step, for all states of a layer that take that step."""

    answer: str
    rows: NDArray[np.intp]
    chance: Array
    after: States


def _unroll(model: Model, planner: Planner, layer: _Layer) -> _Layer | None:
    """Fills in the layer's outcomes; gives the next layer, or None where everything has ended."""
    batches: list[_Batch] = []
    for code in np.unique(layer.codes):
        rows = np.flatnonzero(layer.codes == code)
        here = layer.states.take(rows)
        if code < len(model.checks):
            batches += _after_check(model, layer, int(code), rows, here)
        elif code < len(model.checks) + len(model.remedies):
            batches += _after_remedy(model, layer, int(code) - len(model.checks), rows, here)
    if not batches:
        return None
    every = joined([batch.after for batch in batches]).revived()
    belief = every.weight / every.weight.sum(axis=1, keepdims=True)
    mass = np.concatenate([layer.mass[b.rows] * b.chance for b in batches])
    first, inverse = _same_states(every, belief)
    summed = np.bincount(inverse, weights=mass, minlength=len(first)).astype(float)
    kept = replace(every.take(first), weight=belief[first])
    at = 0
    for batch in batches:
        children = inverse[at : at + len(batch.rows)].tolist()
        for row, chance, child in zip(batch.rows.tolist(), batch.chance.tolist(), children, strict=True):
            layer.outcomes[row].append((batch.answer, chance, child))
        at += len(batch.rows)
    return _layer(model, planner, kept, summed)


def _after_check(model: Model, layer: _Layer, k: int, rows: NDArray[np.intp], here: States) -> list[_Batch]:
    table = model.checks[k]
    unsure = table.check.not_sure
    going_on: list[_Batch] = []
    stop = Step("stop", table.check.refer or "")
    for answer, (id, stops) in enumerate(zip(table.check.answer_ids(), table.stops, strict=True)):
        after = here.after_check(model, k, answer)
        chance = (1 - unsure) * after.weight.sum(axis=1)
        if stops:
            _end(layer, rows, id, chance, stop)
        else:
            going_on.append(_Batch(id, rows, chance, after))
    chance = np.full(len(rows), unsure)
    if table.first:
        _end(layer, rows, NOT_SURE, chance, stop)
    else:
        going_on.append(_Batch(NOT_SURE, rows, chance, here.after_check(model, k, None)))
    return going_on


def _after_remedy(model: Model, layer: _Layer, r: int, rows: NDArray[np.intp], here: States) -> list[_Batch]:
    table = model.remedies[r]
    cured = here.weight[:, table.hypothesis] * table.cures
    _end(layer, rows, CURED, cured, None)
    return [
        _Batch(NOT_CURED, rows, np.maximum(1 - cured, 0.0), here.after_remedy(model, r)),
        _Batch(COULD_NOT, rows, np.zeros(len(rows)), here.without_remedy(r)),
    ]


def _end(layer: _Layer, rows: NDArray[np.intp], answer: str, chance: Array, step: Step | None) -> None:
    """Notes an outcome that ends the walk; None is a cure."""
    ending = step if step is not None else Step("remedy", CURED)
    for row, each in zip(rows.tolist(), chance.tolist(), strict=True):
        layer.outcomes[row].append((answer, each, ending))


def _same_states(states: States, belief: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First representative of each distinct state, and for every state which of those it is."""
    key = np.column_stack(
        [
            states.asked,
            states.done,
            states.reached,
            states.starts,
            states.restored.astype(np.int64),
            np.round(belief * ROUNDING).astype(np.int64),
        ]
    )
    rows = np.ascontiguousarray(key).view([("", np.int64)] * key.shape[1]).ravel()
    _, first, inverse = np.unique(rows, return_index=True, return_inverse=True)
    # Keep the order in which states were come by, so that the route does not hang on bit patterns.
    order = np.argsort(first, kind="stable")
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    return first[order], place[inverse]


@dataclass(slots=True, eq=False)
class _Draft:
    """A node while equal sub-routes are being merged: sums over the states that it stands for."""

    kind: NodeKind
    of: str
    targets: tuple[tuple[str, int], ...]
    mass: float
    shares: Array
    chances: Array
    fallback: tuple[Array, Array]
    """Shares and chances of the first such state, for nodes that are never come by."""


class _Merger:
    """Gives equal sub-routes one number; later numbers never lead to earlier ones' ancestors."""

    def __init__(self) -> None:
        self.drafts: list[_Draft] = []
        self._known: dict[tuple[str, str, tuple[tuple[str, int], ...]], int] = {}

    def add(
        self,
        kind: NodeKind,
        of: str,
        targets: tuple[tuple[str, int], ...],
        mass: float,
        shares: Array,
        chances: Array,
    ) -> int:
        key = (kind, of, targets)
        number = self._known.get(key)
        if number is None:
            number = self._known[key] = len(self.drafts)
            draft = _Draft(kind, of, targets, mass, shares * mass, chances * mass, (shares, chances))
            self.drafts.append(draft)
        else:
            draft = self.drafts[number]
            draft.mass += mass
            draft.shares = draft.shares + shares * mass
            draft.chances = draft.chances + chances * mass
        return number


def _merged(model: Model, layers: list[_Layer]) -> Route:
    merger = _Merger()
    none = np.zeros(0)
    numbers: list[int] = []
    for layer in reversed(layers):
        below, numbers = numbers, []
        for row, outcomes in enumerate(layer.outcomes):
            mass, belief = float(layer.mass[row]), layer.states.weight[row]
            step = step_of(model, int(layer.codes[row]))
            targets = []
            outcomes.sort(key=_answer_order(model, step))
            for answer, chance, what in outcomes:
                if isinstance(what, Step):
                    shares = _belief_after(model, int(layer.codes[row]), belief, answer)
                    end: NodeKind = "cured" if what.of == CURED else "stop"
                    targets.append((answer, merger.add(end, what.of, (), mass * chance, shares, none)))
                else:
                    targets.append((answer, below[what]))
            chances = np.array([chance for _, chance, _ in outcomes])
            numbers.append(merger.add(step.kind, step.of, tuple(targets), mass, belief, chances))
    return _in_order(model, merger.drafts, numbers[0])


def _answer_order(model: Model, step: Step) -> Callable[[tuple[str, float, Step | int]], int]:
    """Answers in file order with *not sure* last; cured, not cured, could not."""
    order = [CURED, NOT_CURED, COULD_NOT]
    if step.kind == "check":
        order = [*model.tree.checks[step.of].answer_ids(), NOT_SURE]
    return lambda outcome: order.index(outcome[0])


def _belief_after(model: Model, code: int, belief: Array, answer: str) -> Array:
    """The belief at an ending that an answer leads to: at a cure the remedy's hypothesis is what it was."""
    if code >= len(model.checks):
        certain = np.zeros(len(belief))
        certain[model.remedies[code - len(model.checks)].hypothesis] = 1.0
        return certain
    table = model.checks[code]
    if answer == NOT_SURE:
        return belief
    after = belief * table.rows[:, table.check.answer_ids().index(answer)]
    return np.asarray(after / after.sum()) if after.sum() > 0 else belief


def _in_order(model: Model, drafts: list[_Draft], start: int) -> Route:
    """Numbers the nodes so that edges lead forward: a draft's children always have smaller numbers."""
    order = sorted(range(len(drafts)), reverse=True)
    assert order[0] == start, "the start is merged last"
    place = {number: at for at, number in enumerate(order)}
    nodes = []
    for number in order:
        draft = drafts[number]
        shares, chances = draft.fallback
        if draft.mass > 0:
            shares, chances = draft.shares / draft.mass, draft.chances / draft.mass
        edges = {
            answer: Edge(place[to], float(chance))
            for (answer, to), chance in zip(draft.targets, chances.tolist(), strict=True)
        }
        nodes.append(RouteNode(draft.kind, draft.of, edges, draft.mass, tuple(float(s) for s in shares)))
    return Route(tuple(nodes), model.ids)
