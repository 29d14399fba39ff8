"""One-step look-ahead: each allowed check against closing at once, a batch of states in a few array calls.

The value of asking check k is c + s V0(p) + (1 - s) sum over answers of P(a) V0(p after a), V0 the best
closing (Heckerman, Breese & Rommelse 1995). It is not always the optimum, and the route says how far it can
be from it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States, joined

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


def closing_values(model: Model, states: States) -> Array:
    """V0 of each state times its mass, safety at the first step included."""
    alive = states.revived()
    cost = best_closing(model, alive, allowed(model, alive)).cost
    return np.where(states.weight.sum(axis=1) > 0, cost, 0.0)


def check_values(model: Model, states: States, allow: Allowed) -> Array:
    """What asking each check next would cost, closing behind it (states by checks; inf if not allowed)."""
    values = np.full((len(states), len(model.checks)), np.inf)
    batches: list[States] = []
    owners: list[tuple[int, NDArray[np.intp], float]] = []
    mass = states.weight.sum(axis=1)
    for k, table in enumerate(model.checks):
        rows = np.flatnonzero(allow.checks[:, k])
        if not len(rows):
            continue
        here = states.take(rows)
        way = access_minutes(model, table.places & ~here.reached)
        values[rows, k] = mass[rows] * (table.cost + way)
        unsure = table.check.not_sure
        for answer, stops in enumerate(table.stops):
            after = here.after_check(model, k, answer)
            if stops:
                stopped = ending_costs(model, after)[:, table.stop_referral]
                values[rows, k] += (1 - unsure) * stopped
            else:
                batches.append(after)
                owners.append((k, rows, 1 - unsure))
        after = here.after_check(model, k, None)
        if table.first:
            values[rows, k] += unsure * ending_costs(model, after)[:, table.stop_referral]
        else:
            batches.append(after)
            owners.append((k, rows, unsure))
    if not batches:
        return values
    worth = closing_values(model, joined(batches))
    at = 0
    for k, rows, chance in owners:
        values[rows, k] += chance * worth[at : at + len(rows)]
        at += len(rows)
    return values
