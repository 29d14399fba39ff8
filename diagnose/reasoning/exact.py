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

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import access_minutes, ending_costs
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States, joined, trails_fit

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

NO_TABLES = 1 << 62


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
    rows: NDArray[np.intp]
    chance: float
    children: NDArray[np.intp]


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


def _unfold(model: Model, here: States, allow: Allowed) -> tuple[list[_Link], States | None]:
    """Every allowed step's outcomes that go on; what cannot happen is left out."""
    found: list[tuple[int, NDArray[np.intp], float, States]] = []
    for k, table in enumerate(model.checks):
        rows = np.flatnonzero(allow.checks[:, k])
        if len(rows):
            at = here.take(rows)
            unsure = table.check.not_sure
            outcomes = [(a, 1 - unsure) for a, stops in enumerate(table.stops) if not stops]
            for answer, chance in outcomes:
                found.append((k, rows, chance, at.after_check(model, k, answer)))
            if not table.first:
                found.append((k, rows, unsure, at.after_check(model, k, None)))
    for r in range(len(model.remedies)):
        rows = np.flatnonzero(allow.remedies[:, r])
        if len(rows):
            found.append((len(model.checks) + r, rows, 1.0, here.take(rows).after_remedy(model, r)))
    kept = []
    for code, rows, chance, after in found:
        alive = after.weight.sum(axis=1) > 0
        if alive.any():
            kept.append((code, rows[alive], chance, after.take(alive)))
    if not kept:
        return [], None
    every = joined([after for *_, after in kept])
    _, first, inverse = np.unique(every.trail, return_index=True, return_inverse=True)
    links, at_row = [], 0
    for code, rows, chance, after in kept:
        links.append(_Link(code, rows, chance, inverse[at_row : at_row + len(after)]))
        at_row += len(after)
    return links, every.take(first)


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
