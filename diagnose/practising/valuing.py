"""What each step would cost from where a learner stands, and which would be best there.

Values are expected minutes from the learner's own belief, by whole tables where these are soon made, else by
looking two steps ahead (`reasoning.why`). While the learner is on the compiled route, the route's own step is
the best there is: large trees are not planned exactly, and nobody is blamed for keeping to the route.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route
from diagnose.reasoning.states import state_of
from diagnose.reasoning.why import looking_two_ahead
from diagnose.terms import Situation, Step

Array = NDArray[np.float64]

MOST_TABLED = 200_000
"""States that are tabled to value one choice: some tenths of a second."""


@dataclass(frozen=True, slots=True)
class Valued:
    """One choice, held against the best that could be chosen there."""

    regret: float
    """Expected minutes lost by it; nought for the best step and for any that is no worse."""
    better: Step
    """The best step there."""


def valued(model: Model, route: Route, situation: Situation, chosen: Step, starts: int = 0) -> Valued:
    """A choice in a situation, valued as if all danger questions had been asked."""
    pending = first_pending(model, situation)
    best = step_on_route(model, route, situation)
    if chosen == best or (pending and chosen.kind == "check" and chosen.of in model.tree.ask_first):
        return Valued(0.0, chosen)
    values = values_of_steps(model, situation, starts)
    codes = codes_of_steps(model)
    if best is None or codes[best] >= len(values) or not np.isfinite(values[codes[best]]):
        best = step_of(model, int(values.argmin()))
    if chosen == best:
        return Valued(0.0, best)
    lost = max(0.0, float(values[codes[chosen]] - values[codes[best]]))
    return Valued(lost, best)


def first_pending(model: Model, situation: Situation) -> tuple[str, ...]:
    """The danger questions that have not been asked, in order."""
    return tuple(id for id in model.tree.ask_first if id not in situation.findings)


def values_of_steps(model: Model, situation: Situation, starts: int = 0) -> Array:
    """Every step's expected minutes, by `decisions.step_of`'s codes; infinite where it is not allowed."""
    state = state_of(model, situation, starts)
    first = (1 << len(model.tree.ask_first)) - 1
    state = replace(state, asked=state.asked | first)
    if table_size(model, state) <= MOST_TABLED:
        return exact_plan(model, state).values
    return looking_two_ahead(model, state)


def codes_of_steps(model: Model) -> dict[Step, int]:
    """The code of each step; of two hand-overs to one tree the first."""
    last = len(model.checks) + len(model.remedies) + model.referrals + model.hand_overs
    return {step_of(model, code): code for code in reversed(range(last))}


def step_on_route(model: Model, route: Route, situation: Situation) -> Step | None:
    """The route's step where a situation lies on the route, None where the learner has left it."""
    at, used = route.start, 0
    while True:
        node = route.nodes[at]
        if node.kind == "check" and node.of in situation.findings:
            answer = str(situation.findings[node.of].answer)
        elif node.kind == "remedy" and node.of in situation.tried:
            answer = situation.tried[node.of]
        elif node.kind in ("cured", "stop") or used < len(situation.findings) + len(situation.tried):
            return None
        else:
            return Step(node.kind, node.of)  # type: ignore[arg-type]
        at, used = node.edges[answer].to, used + 1
