"""What unrolled layers cost for each cause apart, worked backwards from the last layer, whole layers at once.

The same sums as those that are read off a route node by node (`robustness.cost_by_cause`), before equal
sub-routes are made one: cheap enough to compare several plans before one of them becomes the route.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.closing import access_minutes
from diagnose.reasoning.merging import Group, Layer
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States
from diagnose.terms import COULD_NOT, NOT_SURE

Array = NDArray[np.float64]


def minutes_by_cause(model: Model, layers: list[Layer]) -> Array:
    """Expected minutes of unrolled layers if each hypothesis were what is wrong, in the model's order.

    The mean over the prior is what they cost. Ways that nobody comes by (*could not*) may have been left out.
    """
    behind = np.zeros((0, len(model.ids)))
    for layer in reversed(layers):
        here = np.empty((len(layer.states), len(model.ids)))
        for group in layer.groups:
            here[group.rows] = _to_come(model, layer.states.take(group.rows), group, behind)
        behind = here
    return np.asarray(behind[0])


def _to_come(model: Model, here: States, group: Group, behind: Array) -> Array:
    """For all states of a group, the next layer's costs being known."""
    checks, remedies = len(model.checks), len(model.remedies)
    if group.code >= checks + remedies:
        return np.broadcast_to(_ending(model, group.code - checks - remedies), (len(here), len(model.ids)))
    if group.code < checks:
        return _check(model, here, group, behind)
    remedy = model.remedies[group.code - checks]
    own = remedy.cost + access_minutes(model, remedy.places & ~here.reached)
    onward = np.ones(len(model.ids))
    onward[remedy.hypothesis] = 1 - remedy.cures
    total = np.tile(own[:, None], (1, len(model.ids)))
    for outcome in group.outcomes:
        if isinstance(outcome.to, np.ndarray) and outcome.answer != COULD_NOT:
            total += onward * behind[outcome.to]
    return total


def _check(model: Model, here: States, group: Group, behind: Array) -> Array:
    table = model.checks[group.code]
    unsure = table.check.not_sure
    answers = table.check.answer_ids()
    own = table.cost + access_minutes(model, table.places & ~here.reached)
    total = np.tile(own[:, None], (1, len(model.ids)))
    for outcome in group.outcomes:
        if outcome.answer == NOT_SURE:
            chance = np.full(len(model.ids), unsure)
        else:
            chance = (1 - unsure) * table.rows[:, answers.index(outcome.answer)]
        if isinstance(outcome.to, np.ndarray):
            total += chance * behind[outcome.to]
        else:
            total += chance * _ending(model, table.stop_referral)
    return total


def _ending(model: Model, at: int) -> Array:
    """One ending, with `refer_to` behind it for what it does not serve."""
    ending = model.endings[at]
    return np.asarray(ending.minutes + model.refer_cost * (1 - ending.serves))
