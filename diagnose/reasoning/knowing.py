"""What a state would cost if its cause were known at once: a bound that no plan can undercut."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.closing import access_minutes
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States

Array = NDArray[np.float64]


def known_cause_costs(model: Model, states: States) -> Array:
    """For each state, mass times minutes: each cause by its remedy, or by its cheapest ending."""
    serves = np.array([ending.serves for ending in model.endings])
    minutes = np.array([ending.minutes for ending in model.endings])
    end = (minutes[:, None] + model.refer_cost * (1 - serves)).min(axis=0)
    cost = np.tile(end, (len(states), 1))
    for r, table in enumerate(model.remedies):
        at = table.hypothesis
        way = access_minutes(model, table.places & ~states.reached)
        tried = table.cost + way + (1 - table.cures) * end[at]
        open_to_it = (states.done & (1 << r)) == 0
        cost[:, at] = np.where(open_to_it, np.minimum(cost[:, at], tried), cost[:, at])
    return np.asarray((states.weight * cost).sum(axis=1))
