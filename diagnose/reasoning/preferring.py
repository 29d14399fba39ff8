"""Of two ways to begin that cost nearly the same, the one that loses less where the shares are wrong.

The shares of a file are judgement, and the first free step is chosen by them alone: later ones rest on
findings, too. A fixed route costs on average just what it costs at the mean shares, however far the truth
strays (its cost is linear in them), so what is compared is how much it costs under the worst twentieth of
the truths: the 95 % point under shares drawn with half the file's strength. Another step is preferred if
it costs hardly more and spares more there than it costs. Work: up to three more routes, but most trees
need none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import Planner
from diagnose.reasoning.robustness import drawn_truths
from diagnose.reasoning.states import States
from diagnose.reasoning.unfolding import unfold

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

HARDLY_MORE = 0.002
"""What may be given up at the file's shares; so little that a route stays within 0.5 % of the best."""
LOOKED_AT = 2
"""So many other beginnings are tried, those that look cheapest."""
WORTH_A_LOOK = 1.02
"""How much dearer a beginning may look one step ahead to be tried at all."""
WORTH_IT = 0.001
"""How much more must be spared than is given up (a part of the expected minutes): more than draws err by."""
TRUTHS = 10_000
UNSURE = 0.5
"""How sure the file's shares are taken to be: half their strength."""
BAD = 0.95


@dataclass(frozen=True, slots=True)
class Beginning:
    """A planner that begins otherwise: where it would take its usual first free step, it takes another."""

    model: Model
    planner: Planner
    after: int
    """The checks that were asked by then, as bits."""
    usual: int
    other: int

    def decide(self, states: States) -> Ints:
        """The step of each state, as a code."""
        codes = np.array(self.planner.decide(states))
        allow = allowed(self.model, states)
        free = np.concatenate([allow.checks, allow.remedies], axis=1)[:, self.other]
        codes[free & (states.asked == self.after) & (states.done == 0) & (codes == self.usual)] = self.other
        return codes


def surer_beginning(
    model: Model, planner: Planner, own: Array, first: States, costs_of: Callable[[Planner], Array]
) -> Planner:
    """The planner given, or one with another beginning that loses less where the shares are wrong.

    `own` is what the planner's route costs for each cause, `costs_of` gives that of another's, and `first` is
    the state (a batch of one) in which the planner takes its first free step.
    """
    usual, asked = int(planner.decide(first)[0]), int(first.asked[0])
    others = _others(model, first, usual)
    if not others:
        return planner
    truths = drawn_truths(model, TRUTHS, UNSURE)
    expected, bad = float(model.prior @ own), _bad(truths, own)
    surer, most = planner, WORTH_IT * expected
    for other in others:
        beginning = Beginning(model, planner, asked, usual, other)
        costs = costs_of(beginning)
        given_up = max(0.0, float(model.prior @ costs) - expected)
        spared = bad - _bad(truths, costs) - given_up
        if given_up <= HARDLY_MORE * expected and spared > most:
            surer, most = beginning, spared
    return surer


def _others(model: Model, first: States, usual: int) -> list[int]:
    """The checks and remedies that look nearly as good as the best, one step ahead; best-looking first."""
    last = len(model.checks) + len(model.remedies)
    values = unfold(model, first.normalised()).sure_of_step[0, :last]
    near = np.flatnonzero(values <= WORTH_A_LOOK * values.min(initial=np.inf))
    return [int(at) for at in near[np.argsort(values[near], kind="stable")] if at != usual][:LOOKED_AT]


def _bad(truths: Array, costs: Array) -> float:
    return float(np.quantile(truths @ costs, BAD))
