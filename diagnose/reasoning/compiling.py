"""From a model to its route: the same step function, unrolled over every answer.

States are unrolled layer by layer (a layer holds those with the same number of steps behind them); states
of one layer with the same sets and the same belief (to 1e-9) are one. A branch whose probability falls
under 1e-4 asks nothing more and closes. Work: states times the planner's work for one; no state is visited
twice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.costing import minutes_by_cause
from diagnose.reasoning.decisions import by_closing
from diagnose.reasoning.merging import Group, Layer, Outcome, merged
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import Planner, planners_from
from diagnose.reasoning.preferring import surer_beginning
from diagnose.reasoning.route import Route
from diagnose.reasoning.states import States, joined, state_of
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_SURE, Situation, Step

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

IMPROBABLE = 1e-4
"""Below this a branch asks nothing more."""
ROUNDING = 1e9


def compile_route(model: Model) -> Route:
    """The whole route of a model from its first question; deterministic.

    Of several planners the one whose route costs least counts, the first of them if they cost the same; and
    of ways to begin that cost nearly the same, the one that loses less where the shares are wrong.
    """
    root = state_of(model, Situation())
    planner, *others = planners_from(model, root)
    layers = _unrolled(model, planner, root)
    for other in others:
        likely = _unrolled(model, other, root, chances_only=True)
        if model.prior @ minutes_by_cause(model, likely) < model.prior @ minutes_by_cause(model, layers):
            planner, layers = other, _unrolled(model, other, root)
    first = _first_free_state(model, layers)
    if first is not None:

        def costs(other: Planner) -> Array:
            return minutes_by_cause(model, _unrolled(model, other, root, chances_only=True))

        surer = surer_beginning(model, planner, minutes_by_cause(model, layers), first, costs)
        layers = _unrolled(model, surer, root) if surer is not planner else layers
    return merged(model, layers)


def _first_free_state(model: Model, layers: list[Layer]) -> States | None:
    """The likeliest state (a batch of one) behind what is always asked first, if the walk gets there."""
    asked = sum(table.first for table in model.checks)
    if asked >= len(layers):
        return None
    behind = layers[asked]
    return behind.states.take(np.array([int(behind.mass.argmax())]))


def route_by(model: Model, planner: Planner) -> Route:
    """The route of one planner, whatever others would do."""
    return merged(model, _unrolled(model, planner, state_of(model, Situation())))


def _unrolled(model: Model, planner: Planner, root: States, chances_only: bool = False) -> list[Layer]:
    """All layers; with `chances_only` without what follows a remedy that could not be done."""
    layers = [_layer(model, planner, root, np.ones(1))]
    while True:
        following = _unroll(model, planner, layers[-1], chances_only)
        if following is None:
            return layers
        layers.append(following)


def _layer(model: Model, planner: Planner, states: States, mass: Array) -> Layer:
    """Decides a layer: improbable states close, the others are planned."""
    codes = np.empty(len(states), dtype=np.int64)
    likely = mass >= IMPROBABLE
    if likely.any():
        codes[likely] = planner.decide(states.take(likely))
    if not likely.all():
        codes[~likely] = by_closing(model, states.take(~likely))
    groups = [Group(int(code), np.flatnonzero(codes == code)) for code in np.unique(codes)]
    return Layer(states, mass, codes, groups)


@dataclass(frozen=True, slots=True, eq=False)
class _Onward:
    """What follows one answer of one step, for all states of a layer that take that step."""

    group: Group
    answer: str
    chance: Array
    after: States


def _unroll(model: Model, planner: Planner, layer: Layer, chances_only: bool) -> Layer | None:
    """Fills in the outcomes of a layer; gives the next layer, or None where everything has ended."""
    onward: list[_Onward] = []
    for group in layer.groups:
        here = layer.states.take(group.rows)
        if group.code < len(model.checks):
            onward += _after_check(model, group, here)
        elif group.code < len(model.checks) + len(model.remedies):
            onward += _after_remedy(model, group, here, chances_only)
    if not onward:
        return None
    every = joined([each.after for each in onward]).revived()
    belief = every.weight / every.weight.sum(axis=1, keepdims=True)
    mass = np.concatenate([layer.mass[each.group.rows] * each.chance for each in onward])
    first, inverse = _same_states(every, belief)
    summed = np.bincount(inverse, weights=mass, minlength=len(first)).astype(float)
    at = 0
    for each in onward:
        children = np.asarray(inverse[at : at + len(each.chance)], dtype=np.int64)
        each.group.outcomes.append(Outcome(each.answer, each.chance, children))
        at += len(each.chance)
    for group in layer.groups:
        in_order = {answer: place for place, answer in enumerate(_answer_order(model, group.code))}
        group.outcomes.sort(key=lambda outcome, order=in_order: order[outcome.answer])  # type: ignore[misc]
    return _layer(model, planner, replace(every.take(first), weight=belief[first]), summed)


def _after_check(model: Model, group: Group, here: States) -> list[_Onward]:
    """Stops are noted with the group; the other answers go on."""
    k = group.code
    table = model.checks[k]
    unsure = table.check.not_sure
    stop = Step("stop", table.check.refer or "")
    onward: list[_Onward] = []
    for answer, (id, stops) in enumerate(zip(table.check.answer_ids(), table.stops, strict=True)):
        after = here.after_check(model, k, answer)
        chance = (1 - unsure) * after.weight.sum(axis=1)
        if stops:
            group.outcomes.append(Outcome(id, chance, stop))
        else:
            onward.append(_Onward(group, id, chance, after))
    chance = np.full(len(here), unsure)
    if table.first:
        group.outcomes.append(Outcome(NOT_SURE, chance, stop))
    else:
        onward.append(_Onward(group, NOT_SURE, chance, here.after_check(model, k, None)))
    return onward


def _after_remedy(model: Model, group: Group, here: States, chances_only: bool) -> list[_Onward]:
    r = group.code - len(model.checks)
    table = model.remedies[r]
    cured = here.weight[:, table.hypothesis] * table.cures
    group.outcomes.append(Outcome(CURED, cured, Step("remedy", CURED)))
    not_cured = _Onward(group, NOT_CURED, np.maximum(1 - cured, 0.0), here.after_remedy(model, r))
    if chances_only:
        return [not_cured]
    return [not_cured, _Onward(group, COULD_NOT, np.zeros(len(here)), here.without_remedy(r))]


def _answer_order(model: Model, code: int) -> tuple[str, ...]:
    """Answers in file order with *not sure* last; cured, not cured, could not."""
    if code < len(model.checks):
        return (*model.checks[code].check.answer_ids(), NOT_SURE)
    return (CURED, NOT_CURED, COULD_NOT)


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
