"""The best plan there is, by whole tables, where the tree is small enough.

Every state that any plan could reach is laid out layer by layer (a layer holds the states with the same
number of steps behind them; states with the same answers and failed remedies are one), then costs are
worked backwards: the least over what safety allows (finite AND/OR graph: Nilsson 1980; Martelli & Montanari
1973). Work grows with the product over checks of (answers + 2), times the sets of remedies that the tries
allow.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import access_minutes, ending_costs
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States, joined, trail_steps, trails_fit

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

NO_TABLES = 1 << 62
DENSE = 16
"""Trails are numbers below so many times their count: then they are told apart by a table."""


@dataclass(frozen=True, slots=True, eq=False)
class ExactPlan:
    """The best step for every state that can be reached from the root, and what the whole costs."""

    cost: float
    """Expected minutes from the root."""
    values: Array
    """The same for each step that may be taken at the root, the best following; by code, inf for others."""
    trails: Ints
    """Sorted."""
    codes: Ints

    def decide(self, states: States) -> Ints:
        """The best step of each state, as a code."""
        return np.asarray(self.codes[np.searchsorted(self.trails, states.trail)])


def table_size(model: Model, root: States) -> int:
    """How many states the tables from a root (a batch of one) hold at most; counted, not timed.

    Where trails cannot tell states apart there are no tables at all, however little is left from the root.
    """
    if not trails_fit(model):
        return NO_TABLES
    asked, done = int(root.asked[0]), int(root.done[0])
    states = 1
    for k, table in enumerate(model.checks):
        if not asked >> k & 1:
            going_on = len(table.stops) - sum(table.stops)
            states *= going_on + (0 if table.first else 2)
    left = sum(not done >> r & 1 for r in range(len(model.remedies)))
    tries = left if model.tree.tries is None else max(0, model.tree.tries - int(root.starts[0]))
    return states * sum(comb(left, n) for n in range(min(left, tries) + 1))


@dataclass(frozen=True, slots=True, eq=False)
class _Link:
    """From some states of a layer, by one outcome of one step, to states of the next."""

    code: int
    rows: NDArray[np.int32]
    chance: float
    children: NDArray[np.int32]


def exact_plan(model: Model, root: States) -> ExactPlan:
    """The best plan from a root (a batch of one whose trail is nought)."""
    layers, allows, links = [root], [allowed(model, root)], []
    while True:
        link, following = _unfold(model, layers[-1], allows[-1])
        links.append(link)
        if following is None:
            break
        layers.append(following)
        allows.append(allowed(model, following))
    worth = np.zeros(0)
    trails, codes = [], []
    for states, allow, link in zip(reversed(layers), reversed(allows), reversed(links), strict=True):
        values = _values(model, states, allow, link, worth)
        code = values.argmin(axis=1).astype(np.int64)
        worth = values[np.arange(len(states)), code]
        trails.append(states.trail)
        codes.append(code)
    all_trails, all_codes = np.concatenate(trails), np.concatenate(codes)
    order = np.argsort(all_trails, kind="stable")
    mass = float(root.weight.sum())
    return ExactPlan(float(worth[0]) / mass, values[0] / mass, all_trails[order], all_codes[order])


@dataclass(frozen=True, slots=True, eq=False)
class _Outcome:
    """One outcome of one step, for the states of a layer in which the step is allowed."""

    code: int
    answer: int | None
    rows: NDArray[np.intp]
    chance: float
    trail: int
    """What it adds to a state's trail."""

    def after(self, model: Model, at: States) -> States:
        """The states behind it."""
        if self.code < len(model.checks):
            return at.after_check(model, self.code, self.answer)
        return at.after_remedy(model, self.code - len(model.checks))


def _unfold(model: Model, here: States, allow: Allowed) -> tuple[list[_Link], States | None]:
    """Every allowed step's outcomes that go on; what cannot happen is left out.

    Most states are come to in many ways, so they are told apart by trail first and made once each.
    """
    found = _outcomes(model, here, allow)
    if not found:
        return [], None
    trails = np.concatenate([here.trail[each.rows] + each.trail for each in found])
    starts = np.cumsum([0, *(len(each.rows) for each in found)])
    first, inverse = _told_apart(trails)
    order = np.argsort(first)
    made: list[States] = []
    for each, rows in zip(
        found, np.split(first[order], np.searchsorted(first[order], starts[1:-1])), strict=True
    ):
        start = starts[len(made)]
        made.append(each.after(model, here.take(each.rows[rows - start])))
    following = joined(made)
    alive = following.weight.max(axis=1) > 0
    place = np.empty(len(first), dtype=np.int32)
    place[order] = np.where(alive, np.cumsum(alive) - 1, -1)
    links = []
    for each, start in zip(found, starts[:-1], strict=True):
        children = place[inverse[start : start + len(each.rows)]]
        goes_on = children >= 0
        rows = each.rows if goes_on.all() else each.rows[goes_on]
        if len(rows):
            links.append(_Link(each.code, rows.astype(np.int32), each.chance, children[goes_on]))
    if not links:
        return [], None
    return links, following if alive.all() else following.take(alive)


def _told_apart(trails: Ints) -> tuple[NDArray[np.integer[Any]], NDArray[np.integer[Any]]]:
    """Where each distinct trail stands first, and for every trail which of those it is.

    As `numpy.unique` does it by sorting; where trails lie close together a table of all there could be is
    several times as fast.
    """
    space = int(trails.max()) + 1
    if space > DENSE * len(trails):
        _, first, inverse = np.unique(trails, return_index=True, return_inverse=True)
        return first, inverse
    table = np.full(space, -1, dtype=np.int32)
    table[trails[::-1]] = np.arange(len(trails) - 1, -1, -1, dtype=np.int32)
    there = table >= 0
    kept = table[there]
    table[there] = np.arange(len(kept), dtype=np.int32)
    return kept, table[trails]


def _outcomes(model: Model, here: States, allow: Allowed) -> list[_Outcome]:
    of_checks, of_remedies = trail_steps(model)
    found = []
    for k, table in enumerate(model.checks):
        rows = np.flatnonzero(allow.checks[:, k])
        if len(rows):
            unsure, step = table.check.not_sure, of_checks[k]
            for answer, stops in enumerate(table.stops):
                if not stops:
                    found.append(_Outcome(k, answer, rows, 1 - unsure, step * (1 + answer)))
            if not table.first:
                found.append(_Outcome(k, None, rows, unsure, step * (1 + len(table.stops))))
    for r, step in enumerate(of_remedies):
        rows = np.flatnonzero(allow.remedies[:, r])
        if len(rows):
            found.append(_Outcome(len(model.checks) + r, None, rows, 1.0, step))
    return found


def _values(model: Model, states: States, allow: Allowed, links: list[_Link], next_worth: Array) -> Array:
    """What each step would cost, times mass, in each state of a layer, the next layer's worth being known."""
    mass = states.weight.sum(axis=1)
    endings = ending_costs(model, states)
    steps = len(model.checks) + len(model.remedies)
    values = np.full((len(states), steps + model.referrals + model.hand_overs), np.inf)
    last = model.referrals + model.hand_overs
    values[:, steps : steps + last] = endings[:, :last]
    values[~allow.referral, steps : steps + model.referrals] = np.inf
    values[~allow.hand_over, steps + model.referrals : steps + last] = np.inf
    for k, table in enumerate(model.checks):
        rows = allow.checks[:, k]
        if rows.any():
            way = access_minutes(model, table.places & ~states.reached[rows])
            values[rows, k] = mass[rows] * (table.cost + way)
            if table.first or any(table.stops):
                values[rows, k] += _stops(model, states.take(rows), k)
    for r, remedy in enumerate(model.remedies):
        rows = allow.remedies[:, r]
        if rows.any():
            way = access_minutes(model, remedy.places & ~states.reached[rows])
            values[rows, len(model.checks) + r] = mass[rows] * (remedy.cost + way)
    for link in links:
        values[link.rows, link.code] += link.chance * next_worth[link.children]
    return values


def _stops(model: Model, states: States, k: int) -> Array:
    """What the stops of one check cost: its stop answers, and *not sure* where it is asked first."""
    table = model.checks[k]
    unsure = table.check.not_sure
    total = np.zeros(len(states))
    for answer, stops in enumerate(table.stops):
        if stops:
            after = states.after_check(model, k, answer)
            total += (1 - unsure) * ending_costs(model, after)[:, table.stop_referral]
    if table.first:
        total += unsure * ending_costs(model, states)[:, table.stop_referral]
    return total
