"""What a route costs, read off the route itself in one pass from its start.

Where paths with different places reached share a node, its cost differs by path, so weights are carried
apart for each set of places. Work: nodes times the sets of places that reach them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.closing import access_minutes
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route, RouteNode
from diagnose.terms import COULD_NOT, CURED, NOT_SURE, Check, Referral, Step

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Parts:
    """Costs side by side: all in minutes, hands-on minutes, minutes of waiting, money."""

    cost: float = 0.0
    hands_on: float = 0.0
    wait: float = 0.0
    price: float = 0.0

    def __add__(self, other: Parts) -> Parts:
        return Parts(
            self.cost + other.cost,
            self.hands_on + other.hands_on,
            self.wait + other.wait,
            self.price + other.price,
        )

    def times(self, chance: float) -> Parts:
        """The same, so often."""
        return Parts(self.cost * chance, self.hands_on * chance, self.wait * chance, self.price * chance)


@dataclass(frozen=True, slots=True)
class Figures:
    """What to expect of a route, and how walks along it end."""

    expected: Parts
    cured: float
    referred: float
    stopped: float
    handed_over: float


_ENDINGS = {"cured": "cured", "referral": "referred", "stop": "stopped", "handover": "handed_over"}


def figures(route: Route, model: Model) -> Figures:
    """Expected costs of a route with their parts, and the chance of each way to end."""
    weights: list[dict[int, Array]] = [{} for _ in route.nodes]
    weights[route.start][0] = model.prior
    spent = Parts()
    ends = dict.fromkeys(_ENDINGS.values(), 0.0)
    for node, arriving in zip(route.nodes, weights, strict=True):
        for reached, weight in arriving.items():
            if node.kind != "cured":
                spent += spent_at(model, Step(node.kind, node.of), weight, reached)
            if node.kind in _ENDINGS:
                ends[_ENDINGS[node.kind]] += float(weight.sum())
            now = reached | places_of(model, node)
            for answer, edge in node.edges.items():
                after = _after(model, node, weight, answer)
                if after.any():
                    onward = weights[edge.to]
                    onward[now] = onward[now] + after if now in onward else after
    return Figures(spent, **ends)


def places_of(model: Model, step: Step | RouteNode) -> int:
    """The bits of the places where a step is done; nought for one that is done anywhere."""
    if step.kind == "check":
        return model.checks[model.check_index[step.of]].places
    if step.kind == "remedy":
        return model.remedies[model.remedy_index[step.of]].places
    return 0


def _after(model: Model, node: RouteNode, weight: Array, answer: str) -> Array:
    """The weight of what goes along one edge."""
    if node.kind == "remedy":
        table = model.remedies[model.remedy_index[node.of]]
        at, cures = table.hypothesis, table.cures
        after = np.zeros(len(weight)) if answer in (CURED, COULD_NOT) else weight.copy()
        if answer == CURED:
            after[at] = weight[at] * cures
        elif answer != COULD_NOT:
            after[at] *= 1 - cures
        return after
    asked = model.checks[model.check_index[node.of]]
    unsure = asked.check.not_sure
    if answer == NOT_SURE:
        return weight * unsure
    return np.asarray(weight * (1 - unsure) * asked.rows[:, asked.check.answer_ids().index(answer)])


def spent_at(model: Model, step: Step, weight: Array, reached: int) -> Parts:
    """What one step costs, times the mass of the belief in whatever may be wrong when it is taken.

    `reached` holds the bits of the places where one has been. With all weight on one hypothesis it is what
    the step costs on a vehicle that has it.
    """
    mass = float(weight.sum())
    if mass == 0:
        return Parts()
    if step.kind in ("referral", "stop", "handover"):
        return _ending_parts(model, step, weight, mass)
    way = float(access_minutes(model, np.array([places_of(model, step) & ~reached]))[0])
    if step.kind == "check":
        return _parts(model, model.tree.checks[step.of], way).times(mass)
    each = model.hypotheses[model.index[step.of]]
    minutes = each.minutes + model.tree.cured_when.minutes + way
    cost = model.remedies[model.remedy_index[step.of]].cost + way
    return Parts(cost, minutes, each.wait, each.price).times(mass)


def _parts(model: Model, what: Check | Referral, way: float = 0.0) -> Parts:
    rate = 1.0 if model.hurry else model.settings.wait_rate
    minutes = what.minutes + way
    cost = minutes + what.wait * rate + what.price / model.settings.money_per_minute
    return Parts(cost, minutes, what.wait, what.price)


def _ending_parts(model: Model, step: Step, weight: Array, mass: float) -> Parts:
    kind = "handover" if step.kind == "handover" else "referral"
    matching = [e for e in model.endings if e.step.kind == kind and e.step.of == step.of]
    refer_to = _parts(model, model.tree.referrals[model.tree.refer_to])
    if kind == "handover":
        # The likeliest of the causes that point to this tree is what it is handed over for.
        served = max(float(weight @ ending.serves) for ending in matching)
        minutes = matching[0].minutes
        return Parts(minutes, minutes).times(mass) + refer_to.times(mass - served)
    own = _parts(model, model.tree.referrals[step.of])
    served = float(weight @ matching[0].serves)
    return own.times(mass) + refer_to.times(max(0.0, mass - served))
