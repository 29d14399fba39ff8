"""How walks along a route end for each cause apart, and what each check is worth to the route.

Both are read off whole routes: ends by one pass over the route, with the weight of every hypothesis carried
along; a check's worth by planning anew as if there were no such check.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import Model
from diagnose.reasoning.robustness import arriving_weights, cost_by_cause
from diagnose.reasoning.route import Route, RouteNode

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Ends:
    """Of walks with each hypothesis, in the model's order, how many end in which way; they add up to 1."""

    cured: Array
    served: Array
    """Referred to whom that cause needs, or handed over to the tree that knows it."""
    passed_on: Array
    """Referred to somebody who passes it on, or handed over to another tree."""
    stopped: Array

    @property
    def right(self) -> Array:
        """Put right, or with whom it belongs."""
        return np.asarray(self.cured + self.served)


def ends_by_cause(route: Route, model: Model) -> Ends:
    """How walks end for each hypothesis. Work: as for the cost of each cause (`cost_by_cause`)."""
    size = len(model.ids)
    ends = Ends(np.zeros(size), np.zeros(size), np.zeros(size), np.zeros(size))
    for node, arriving in zip(route.nodes, arriving_weights(route, model), strict=True):
        if node.kind in ("check", "remedy"):
            continue
        weight = sum(arriving.values(), np.zeros(size))
        if node.kind == "cured":
            ends.cured[:] += weight
        elif node.kind == "stop":
            ends.stopped[:] += weight
        else:
            serves = _serves(model, node, weight)
            ends.served[:] += weight * serves
            ends.passed_on[:] += weight * (1 - serves)
    prior = model.prior
    return Ends(*(each / prior for each in (ends.cured, ends.served, ends.passed_on, ends.stopped)))


def _serves(model: Model, node: RouteNode, weight: Array) -> Array:
    """1 where a referral or hand-over is the right one for a hypothesis."""
    kind = "handover" if node.kind == "handover" else "referral"
    matching = [each for each in model.endings if each.step.kind == kind and each.step.of == node.of]
    return max(matching, key=lambda each: float(weight @ each.serves)).serves


def asked_in(route: Route, check: str) -> float:
    """Of all walks along a route, how many come by a check."""
    return sum(node.probability for node in route.nodes if node.kind == "check" and node.of == check)


def saved_by(model: Model, check: str, expected: float) -> float:
    """Expected minutes that a check saves: what the best route that is found without it costs more.

    `expected` is what the route with it costs. Never below nought: where the plan without it happens to be
    cheaper, since larger trees are not planned exactly, the check is worth nothing that can be told. Takes as
    long as compiling a route. What is always asked first cannot be left out: ValueError.
    """
    if check in model.tree.ask_first:
        raise ValueError(f'"{check}" is always asked first')
    kept = tuple(table for table in model.checks if table.check.id != check)
    places = {table.check.id: at for at, table in enumerate(kept)}
    without = replace(model, checks=kept, check_index=places)
    cost = float(model.prior @ cost_by_cause(compile_route(without), without))
    return max(0.0, cost - expected)


def information(model: Model, check: str) -> float:
    """Bits that a check's answer tells of the cause before anything else is known (Shannon 1948).

    The mutual information of answer and hypothesis, times the chance that it can be answered.
    """
    rows = model.rows[check]
    joint = model.prior[:, None] * rows
    answers = joint.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = np.where(joint > 0, joint * np.log2(rows / answers), 0.0)
    return max(0.0, float((1 - model.tree.checks[check].not_sure) * parts.sum()))
