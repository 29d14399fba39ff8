"""What a route costs for each cause apart, and so what it costs where the shares of its file are wrong.

A route's expected minutes are linear in the shares: V = sum over h of p_h C(start, h), with C(n, h) the
minutes to come at node n if h is what is wrong. One pass from the last node to the first gives C for all
hypotheses, and with it the cost of the route under any shares whatever, without walking it again:

    check     c + s C(not sure, h) + (1 - s) sum over answers of P(a | h) C(a, h)
    remedy    m + (1 - q if it is h's, else 1) C(not cured, h)
    ending    r, plus the referral to `refer_to` if the ending does not serve h

Where paths with different places reached share a node, C is kept for each set of places. The shares of a
file are judgement; how far wrong they may be is what their strength says: the truth is drawn from the
Dirichlet distribution of that strength, or of half.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.closing import access_minutes
from diagnose.reasoning.model import Model
from diagnose.reasoning.ranking import log_dirichlet
from diagnose.reasoning.route import Route, RouteNode
from diagnose.terms import CURED, NOT_CURED, NOT_SURE

Array = NDArray[np.float64]

SEED = 1763
"""Truths are drawn alike on every machine."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Minutes lost by a route under drawn truths, against the route planned for each truth itself."""

    expected: float
    """What the route costs at the file's own shares."""
    low: float
    """5 % of the truths cost less than this."""
    high: float
    """95 % of them cost less than this."""
    mean: float
    """Minutes lost on average."""
    worst: float
    """The most that was lost under any truth drawn."""


def cost_by_cause(route: Route, model: Model) -> Array:
    """Expected minutes of a route if each hypothesis were what is wrong, in the model's order.

    Work: nodes times the sets of places that reach them. Its mean over the prior is the route's cost.
    """
    weights = arriving_weights(route, model)
    behind: list[dict[int, Array]] = [{} for _ in route.nodes]
    for at in reversed(range(len(route.nodes))):
        node = route.nodes[at]
        for reached, weight in weights[at].items():
            behind[at][reached] = _to_come(model, node, reached, weight, behind)
    return behind[route.start][0]


def drawn_truths(model: Model, draws: int, strength: float = 1.0, seed: int = SEED) -> Array:
    """Seeded shares around the model's own (draws by hypotheses); `strength` 0.5 is half as sure of them."""
    return np.asarray(np.exp(log_dirichlet(np.random.default_rng(seed), model.alpha * strength, draws)))


def with_shares(model: Model, shares: Array) -> Model:
    """The model as it would be if those were the shares, as sure of them as before."""
    return replace(model, alpha=shares * model.alpha.sum())


def lost(model: Model, route: Route, truths: Array, plan: Callable[[Model], Route]) -> Lost:
    """What a route loses under each of some truths (truths by hypotheses).

    The best that is known for a truth is the cheaper of this route and the one that `plan` makes for that
    truth: larger trees are not planned exactly, so a plan made for a truth may be no better there.
    """
    here = truths @ cost_by_cause(route, model)
    planned = np.array([truth @ cost_by_cause(plan(told), told) for truth, told in _told(model, truths)])
    missing = here - np.minimum(here, planned)
    low, high = np.quantile(here, [0.05, 0.95])
    expected = float(model.prior @ cost_by_cause(route, model))
    return Lost(expected, float(low), float(high), float(missing.mean()), float(missing.max()))


def _told(model: Model, truths: Array) -> list[tuple[Array, Model]]:
    return [(truth, with_shares(model, truth)) for truth in truths]


def arriving_weights(route: Route, model: Model) -> list[dict[int, Array]]:
    """For each node and set of places reached: the weight of each hypothesis that comes by.

    Ways on which nobody comes by at these figures (*could not*) are followed with weight nought, since a
    route for other shares may have to be costed there.
    """
    arriving: list[dict[int, Array]] = [{} for _ in route.nodes]
    arriving[route.start][0] = model.prior
    for at, node in enumerate(route.nodes):
        for reached, weight in arriving[at].items():
            now = reached | _places(model, node)
            for answer, chance in _chances(model, node).items():
                onward = arriving[node.edges[answer].to]
                onward[now] = onward.get(now, 0.0) + weight * chance
    return arriving


def _to_come(
    model: Model, node: RouteNode, reached: int, weight: Array, behind: list[dict[int, Array]]
) -> Array:
    """C of one node, what comes after it being known."""
    if node.kind == "cured":
        return np.zeros(len(model.ids))
    if node.kind not in ("check", "remedy"):
        return _ending(model, node, weight)
    places = _places(model, node)
    way = float(access_minutes(model, np.array([places & ~reached]))[0])
    own = model.checks[model.check_index[node.of]].cost if node.kind == "check" else _remedy_cost(model, node)
    total = np.full(len(model.ids), own + way)
    for answer, chance in _chances(model, node).items():
        total += chance * behind[node.edges[answer].to][reached | places]
    return total


def _chances(model: Model, node: RouteNode) -> dict[str, Array]:
    """For each answer that leads on, its chance under each hypothesis."""
    if node.kind == "check":
        table = model.checks[model.check_index[node.of]]
        unsure = table.check.not_sure
        told = {id: (1 - unsure) * table.rows[:, at] for at, id in enumerate(table.check.answer_ids())}
        return told | {NOT_SURE: np.full(len(model.ids), unsure)}
    if node.kind == "remedy":
        remedy = model.remedies[model.remedy_index[node.of]]
        cured = np.zeros(len(model.ids))
        cured[remedy.hypothesis] = remedy.cures
        return {CURED: cured, NOT_CURED: 1 - cured}
    return {}


def _places(model: Model, node: RouteNode) -> int:
    if node.kind == "check":
        return model.checks[model.check_index[node.of]].places
    return model.remedies[model.remedy_index[node.of]].places if node.kind == "remedy" else 0


def _remedy_cost(model: Model, node: RouteNode) -> float:
    return model.remedies[model.remedy_index[node.of]].cost


def _ending(model: Model, node: RouteNode, weight: Array) -> Array:
    """A referral, a stop or a hand-over, with `refer_to` behind it for what it does not serve."""
    kind = "handover" if node.kind == "handover" else "referral"
    matching = [each for each in model.endings if each.step.kind == kind and each.step.of == node.of]
    # A tree is handed over to for the likeliest of the causes that point to it.
    ending = max(matching, key=lambda each: float(weight @ each.serves))
    return np.asarray(ending.minutes + model.refer_cost * (1 - ending.serves))
