"""What no route can undercut, so that every route can state how far from the best it may be.

What must be asked first is asked by every route in the same order, so its cost and its stops are exact.
Behind it the larger of two admissible bounds is taken: *perfect information* (the cause is known at once)
and *free answers* (every check is answered truly at no cost, then the best closing without any limit of
tries). Both leave out minutes that a real route spends, and forbid nothing that a real route may do.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs, is_best_of_all
from diagnose.reasoning.exact import exact_plan
from diagnose.reasoning.knowing import known_cause_costs
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import affordable
from diagnose.reasoning.states import States, joined, state_of
from diagnose.terms import Situation

Array = NDArray[np.float64]

RARE = 1e-6
MOST_VECTORS = 60_000


def least_minutes(model: Model) -> float:
    """A lower bound of the expected minutes of any route; the optimum where that is affordable."""
    root = state_of(model, Situation())
    if affordable(model):
        return exact_plan(model, root).cost
    spent, behind = _after_asking_first(model, root)
    if behind is None:
        return spent
    return spent + max(perfect_information(model, behind), free_answers(model, behind))


def perfect_information(model: Model, states: States) -> float:
    """Cost if the cause were known: its remedy with its failures, or its cheapest ending."""
    return float(known_cause_costs(model, states).sum())


def free_answers(model: Model, states: States) -> float:
    """Cost if every check were answered truly for nothing; rare answer vectors count by perfect information.

    Valid only where the closing is the best of all, so not where too many places are needed together.
    """
    if not is_best_of_all(model):
        return 0.0
    here, rare = states, 0.0
    for k, table in enumerate(model.checks):
        if table.first or len(here) * len(table.stops) > MOST_VECTORS:
            continue
        after = [here.after_check(model, k, answer) for answer in range(len(table.stops))]
        # Being answered for nothing is no visit: only remedies pay their way.
        here = replace(joined(after), reached=np.tile(here.reached, len(after)))
        likely = here.weight.sum(axis=1) >= RARE
        rare += perfect_information(model, here.take(~likely))
        here = here.take(likely)
    everything = Allowed(
        np.zeros((len(here), len(model.checks)), dtype=bool),
        np.ones((len(here), len(model.remedies)), dtype=bool),
        np.ones(len(here), dtype=bool),
        np.ones(len(here), dtype=bool),
    )
    closing = best_closing(model, here, everything, tries=np.full(len(here), np.inf))
    # A stop ends a walk too, and could be cheaper than what a step may choose.
    return rare + float(np.minimum(closing.cost, ending_costs(model, here).min(axis=1)).sum())


def _after_asking_first(model: Model, root: States) -> tuple[float, States | None]:
    """What `ask_first` and its stops cost, exactly, and the states in which the walk goes on."""
    spent, here = 0.0, root
    for k, table in enumerate(model.checks):
        if not table.first:
            break
        assert allowed(model, here).checks[:, k].all(), "what is asked first is asked in order"
        way = access_minutes(model, table.places & ~here.reached)
        spent += float((here.weight.sum(axis=1) * (table.cost + way)).sum())
        unsure = table.check.not_sure
        spent += unsure * float(ending_costs(model, here)[:, table.stop_referral].sum())
        going_on = []
        for answer, stops in enumerate(table.stops):
            after = here.after_check(model, k, answer)
            after = replace(after, weight=after.weight * (1 - unsure))
            if stops:
                spent += float(ending_costs(model, after)[:, table.stop_referral].sum())
            elif after.weight.any():
                going_on.append(after)
        if not going_on:
            return spent, None
        here = joined(going_on)
    return spent, here
