"""How good one tree is, in figures: what its route reaches, what it costs, what each part of it is worth.

Figures are those of the file, or with a store those with its cases. Nothing here rests on a screen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.coverage import asked_in, ends_by_cause, information, saved_by
from diagnose.reasoning.figures import Figures, figures
from diagnose.reasoning.importance import Importance, TooEntangled, importance
from diagnose.reasoning.model import Model
from diagnose.reasoning.ranking import ranking
from diagnose.reasoning.robustness import Lost, cost_by_cause, drawn_truths, lost
from diagnose.reasoning.route import Route
from diagnose.terms import NOT_LISTED, Role, Situation, Tree

Array = NDArray[np.float64]
Told = Callable[[int, int], None]

TRUTHS = 10
"""So many truths are drawn, and a route planned for each, unless another number is asked for."""
SPREAD = 4000
"""So many truths say between what a route costs: each is one product, no route is planned."""
HALF_AS_SURE = 0.5


@dataclass(frozen=True, slots=True)
class Side:
    """What the route of one role costs and how it ends."""

    figures: Figures
    least: float
    """No route for this role can cost less."""
    right: float
    """Of all walks, how many end with the cause put right or with whom it belongs."""


@dataclass(frozen=True, slots=True)
class CauseLine:
    """One hypothesis."""

    id: str
    says: str
    share: float
    """How likely it is before anything is known."""
    low: float
    high: float
    minutes: float
    """Expected minutes of a walk if it is this."""
    cured: float
    served: float
    passed_on: float
    stopped: float
    """How walks end if it is this; the four add up to 1."""
    cases: float
    """Confirmed cases that had it."""


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One check that this role may be asked."""

    id: str
    asks: str
    minutes: float
    """What it costs, getting there left out."""
    asked: float
    """Of all walks, how many come by it."""
    saves: float | None
    """Expected minutes a walk that the tree would cost more without it; None for what is asked first."""
    bits: float


@dataclass(frozen=True, slots=True)
class GateLine:
    """A basic event that is in a cut set of several, and so matters otherwise than by its own share."""

    id: str
    says: str
    share_of_sets: float
    """Of all vehicles with the symptom, how many have a cut set that holds it."""
    alone: Importance | None
    """The measures for causes that come independently; None where a cause has no chance of its own."""


@dataclass(frozen=True, slots=True)
class TreeReport:
    """Everything about one tree; causes, checks and losses are those of one role."""

    tree: Tree
    role: Role
    sides: Mapping[Role, Side]
    causes: tuple[CauseLine, ...]
    """The likeliest first."""
    checks: tuple[CheckLine, ...]
    """What saves most first, what is asked first at the end."""
    gates: tuple[GateLine, ...]
    """Empty where every cause alone brings the symptom."""
    spread: tuple[float, float]
    """What 5 % and 95 % of the truths cost less than, if the shares are as sure as the file says."""
    spread_half: tuple[float, float]
    """The same if they are half as sure."""
    loses: Lost | None
    """None where no truth was drawn."""
    truths: int
    cases: float
    """Confirmed cases that count, weighed as the ranking weighs them."""


def tree_report(
    models: Mapping[Role, Model],
    routes: Mapping[Role, Route],
    role: Role = "owner",
    truths: int = TRUTHS,
    told: Told = lambda _done, _of: None,
) -> TreeReport:
    """The figures of a tree. Takes as long as compiling one route for each check and each truth."""
    model, route = models[role], routes[role]
    costs = cost_by_cause(route, model)
    expected = float(model.prior @ costs)
    steps = _Steps(told, len(model.checks) + truths)
    checks = [_check(model, route, table.check.id, expected, steps) for table in model.checks]
    spreads = [_spread(model, costs, strength) for strength in (1.0, HALF_AS_SURE)]

    def planned(truth: Model) -> Route:
        steps.on()
        return compile_route(truth)

    return TreeReport(
        tree=model.tree,
        role=role,
        sides={each: _side(models[each], routes[each]) for each in models},
        causes=_causes(model, route, costs),
        checks=tuple(sorted(checks, key=lambda each: -1.0 if each.saves is None else each.saves)[::-1]),
        gates=_gates(model),
        spread=spreads[0],
        spread_half=spreads[1],
        loses=lost(model, route, drawn_truths(model, truths), planned) if truths else None,
        truths=truths,
        cases=float(model.tally.total),
    )


@dataclass(slots=True)
class _Steps:
    """Tells how far it has come."""

    told: Told
    of: int
    done: int = 0

    def on(self) -> None:
        self.done += 1
        self.told(self.done, self.of)


def _side(model: Model, route: Route) -> Side:
    right = float(model.prior @ ends_by_cause(route, model).right)
    return Side(figures(route, model), least_minutes(model), right)


def _causes(model: Model, route: Route, costs: Array) -> tuple[CauseLine, ...]:
    ends = ends_by_cause(route, model)
    lines = [
        CauseLine(
            each.cause,
            each.says,
            each.share,
            each.low,
            each.high,
            float(costs[at]),
            float(ends.cured[at]),
            float(ends.served[at]),
            float(ends.passed_on[at]),
            float(ends.stopped[at]),
            float(each.cases),
        )
        for each in ranking(model, Situation())
        for at in (model.index[each.cause],)
    ]
    return tuple(lines)


def _check(model: Model, route: Route, id: str, expected: float, steps: _Steps) -> CheckLine:
    table = model.checks[model.check_index[id]]
    asked = asked_in(route, id)
    # What no walk comes by saves nothing; nobody need plan without it.
    saves = None if table.first else saved_by(model, id, expected) if asked > 0 else 0.0
    steps.on()
    return CheckLine(id, table.check.ask, table.cost, asked, saves, information(model, id))


def _spread(model: Model, costs: Array, strength: float) -> tuple[float, float]:
    low, high = np.quantile(drawn_truths(model, SPREAD, strength) @ costs, [0.05, 0.95])
    return float(low), float(high)


def _gates(model: Model) -> tuple[GateLine, ...]:
    """For every cause that is in a cut set of several: both measures, the greatest first."""
    tree = model.tree
    together = dict.fromkeys(cause for causes in tree.cut_sets if len(causes) > 1 for cause in causes)
    if not together:
        return ()
    measures = _independent(tree)
    lines = [
        GateLine(cause, tree.events[cause].says, _holding(model, cause), measures.get(cause))
        for cause in together
    ]
    return tuple(sorted(lines, key=lambda each: -each.share_of_sets))


def _holding(model: Model, cause: str) -> float:
    return float(sum(model.prior[at] for at, id in enumerate(model.ids) if cause in id.split("+")))


def _independent(tree: Tree) -> dict[str, Importance]:
    """The measures from the causes' own chances; nothing where one has none or they are too entangled."""
    causes = tree.causes()
    chances = {each.id: each.in_100 / 100 for each in causes if each.in_100 is not None}
    if len(chances) < len(causes):
        return {}
    try:
        return importance(tree.cut_sets, chances)[1]
    except TooEntangled:
        return {}


def is_listed(line: CauseLine) -> bool:
    """Whether a line is of a cause that the file names."""
    return line.id != NOT_LISTED
