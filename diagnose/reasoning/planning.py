"""What to do next: one small interface, whatever plans behind it.

A planner gives the best step for each state of a batch. A whole route is planned exactly where the tree is
small enough, else by search with look-ahead behind it; while somebody waits for the next question, exactly
where little is left, else by look-ahead. All of that is a matter of counting states, so that every machine
plans alike.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.decisions import by_look_ahead, step_of
from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.model import Model
from diagnose.reasoning.searching import EXPANSIONS, SearchedPlan
from diagnose.reasoning.states import States, state_of, stop_in
from diagnose.terms import Situation, Step

Ints = NDArray[np.int64]


MOST_STATES = 1_000_000
"""Tables that a whole route may be planned by: about a second and a half, and half a gibibyte."""
FEW_STATES = 20_000_000
"""Up to so many states there could be, a search gets a good way through them, so it may unfold more."""
EXPANSIONS_OF_FEW = 4_000
MOST_AT_ONCE = 5_000
"""The same while somebody waits for the next question."""


class Planner(Protocol):
    """Whatever can say the best step for states that were reached from its root."""

    def decide(self, states: States) -> Ints:
        """The step of each state, as a code of `decisions.step_of`."""


class LookAhead:
    """Plans each state by itself, one step ahead."""

    def __init__(self, model: Model) -> None:
        self._model = model

    def decide(self, states: States) -> Ints:
        """The step of each state, as a code."""
        return by_look_ahead(self._model, states)


def affordable(model: Model) -> bool:
    """Whether the whole route of a model is planned exactly."""
    return table_size(model, state_of(model, Situation())) <= MOST_STATES


def planners_from(model: Model, root: States) -> tuple[Planner, ...]:
    """The planners that a whole route from a root (a batch of one) is worth; the cheapest route counts."""
    size = table_size(model, root)
    if size <= MOST_STATES:
        return (exact_plan(model, root),)
    expansions = EXPANSIONS_OF_FEW if size <= FEW_STATES else EXPANSIONS
    return SearchedPlan(model, root, expansions), LookAhead(model)


def planner_at_once(model: Model, root: States) -> Planner:
    """The best planner that answers at once, for states reached from the root (a batch of one)."""
    return exact_plan(model, root) if table_size(model, root) <= MOST_AT_ONCE else LookAhead(model)


def next_step(model: Model, situation: Situation, starts: int = 0) -> Step:
    """The step most worth its minutes in one situation, among what safety allows.

    `starts` is how often the appliance was started already, where more is known than the situation shows.
    """
    referral = stop_in(model, situation)
    if referral is not None:
        return Step("stop", referral)
    root = state_of(model, situation, starts)
    return step_of(model, int(planner_at_once(model, root).decide(root)[0]))
