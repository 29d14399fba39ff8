"""From unrolled layers to a route: equal sub-routes become one node.

Worked from the last layer back, so that what an answer leads to has its number already: two states are one
node if they take the same step and every answer leads both to the same nodes. All states of a layer that
take the same step are handled in one go. What a node stands for is summed: how often it is come by, its
shares, its answers' chances.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Edge, NodeKind, Route, RouteNode
from diagnose.reasoning.states import States
from diagnose.terms import CURED, NOT_SURE, Step

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """One answer of one step, for all states of a group."""

    answer: str
    chance: Array
    """How often it is given, in each state."""
    to: Step | Ints
    """The stop (or the cure) that it leads to, or each state's place in the next layer."""


@dataclass(slots=True, eq=False)
class Group:
    """The states of one layer that take the same step."""

    code: int
    rows: NDArray[np.intp]
    outcomes: list[Outcome] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Layer:
    """States with the same number of steps behind them; belief is normalised, mass apart."""

    states: States
    mass: Array
    codes: Ints
    groups: list[Group] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class _Draft:
    """A node while sub-routes are being merged: sums over the states that it stands for."""

    kind: NodeKind
    of: str
    answers: tuple[str, ...]
    targets: tuple[int, ...]
    shares: Array
    chances: Array
    mass: float = 0.0
    instead: tuple[Array, Array] | None = None
    """Shares and chances of the first such state, for nodes that are never come by."""


class _Drafts:
    """Nodes by what they are and where they lead; a node always has a greater number than where it leads."""

    def __init__(self, width: int) -> None:
        self.all: list[_Draft] = []
        self._width = width
        self._known: dict[tuple[str, str, tuple[int, ...]], int] = {}

    def number(self, kind: NodeKind, of: str, answers: tuple[str, ...], targets: tuple[int, ...]) -> int:
        """The number of such a node, a new one if it is the first."""
        key = (kind, of, targets)
        number = self._known.get(key)
        if number is None:
            number = self._known[key] = len(self.all)
            self.all.append(_Draft(kind, of, answers, targets, np.zeros(self._width), np.zeros(len(answers))))
        return number

    def add(self, number: int, mass: Array, belief: Array, chances: Array) -> None:
        """Adds states to a node: mass of each, belief and answers' chances in rows."""
        draft = self.all[number]
        draft.mass += float(mass.sum())
        draft.shares += mass @ belief
        draft.chances += mass @ chances
        if draft.instead is None:
            draft.instead = (belief[0], chances[0])


def merged(model: Model, layers: list[Layer]) -> Route:
    """The route of layers that have been unrolled to their ends."""
    drafts = _Drafts(len(model.ids))
    numbers: Ints = np.zeros(0, dtype=np.int64)
    for layer in reversed(layers):
        below, numbers = numbers, np.zeros(len(layer.mass), dtype=np.int64)
        for group in layer.groups:
            numbers[group.rows] = _number_group(model, drafts, layer, group, below)
    return _in_order(model, drafts.all)


def _number_group(model: Model, drafts: _Drafts, layer: Layer, group: Group, below: Ints) -> Ints:
    """The node number of each state of a group."""
    step = step_of(model, group.code)
    mass, belief = layer.mass[group.rows], layer.states.weight[group.rows]
    answers = tuple(outcome.answer for outcome in group.outcomes)
    if not answers:
        number = drafts.number(step.kind, step.of, (), ())
        drafts.add(number, mass, belief, np.zeros((len(mass), 0)))
        return np.full(len(mass), number, dtype=np.int64)
    columns = []
    for outcome in group.outcomes:
        if isinstance(outcome.to, Step):
            kind: NodeKind = "cured" if outcome.to.of == CURED else "stop"
            end = drafts.number(kind, outcome.to.of, (), ())
            shares = _belief_after(model, group.code, belief, outcome.answer)
            drafts.add(end, mass * outcome.chance, shares, np.zeros((len(mass), 0)))
            columns.append(np.full(len(mass), end, dtype=np.int64))
        else:
            columns.append(below[outcome.to])
    chances = np.column_stack([outcome.chance for outcome in group.outcomes])
    keys, inverse = np.unique(np.column_stack(columns), axis=0, return_inverse=True)
    inverse = inverse.ravel()
    by_key = np.argsort(inverse, kind="stable")
    ends = np.searchsorted(inverse[by_key], np.arange(len(keys) + 1))
    found = np.zeros(len(keys), dtype=np.int64)
    for at, key in enumerate(keys.tolist()):
        members = by_key[ends[at] : ends[at + 1]]
        found[at] = drafts.number(step.kind, step.of, answers, tuple(key))
        drafts.add(int(found[at]), mass[members], belief[members], chances[members])
    return np.asarray(found[inverse])


def _belief_after(model: Model, code: int, belief: Array, answer: str) -> Array:
    """The belief at an ending that an answer leads to: at a cure the remedy's hypothesis is what it was."""
    if code >= len(model.checks):
        certain = np.zeros_like(belief)
        certain[:, model.remedies[code - len(model.checks)].hypothesis] = 1.0
        return certain
    if answer == NOT_SURE:
        return belief
    table = model.checks[code]
    after = belief * table.rows[:, table.check.answer_ids().index(answer)]
    total = after.sum(axis=1, keepdims=True)
    return np.where(total > 0, after / np.where(total > 0, total, 1.0), belief)


def _in_order(model: Model, drafts: list[_Draft]) -> Route:
    """Numbers the nodes anew so that edges lead forward; the start, made last, comes first."""
    last = len(drafts) - 1
    nodes = []
    for draft in reversed(drafts):
        if draft.instead is None:
            raise AssertionError("every node stands for at least one state")
        shares, chances = draft.instead
        if draft.mass > 0:
            shares, chances = draft.shares / draft.mass, draft.chances / draft.mass
        leads = zip(draft.answers, draft.targets, chances.tolist(), strict=True)
        edges = {answer: Edge(last - to, chance) for answer, to, chance in leads}
        nodes.append(RouteNode(draft.kind, draft.of, edges, draft.mass, tuple(shares.tolist())))
    return Route(tuple(nodes), model.ids)
