"""Every step of a batch of states at once: what it costs, and what each of its outcomes would be worth.

Used by the search: all checks and all answers of all states go through one valuation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs
from diagnose.reasoning.knowing import known_cause_costs
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States, joined

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

KAPPA = 0.6
STRIDE = 1000
MOST_REMEDIES = 5
"""Of the remedies that may come first, as many of the best by cure over cost are looked at."""


@dataclass(frozen=True, slots=True, eq=False)
class Unfolded:
    """States by steps (checks, then remedies, then ending at once); outcomes in rows of their own."""

    cost: Array
    """What a step costs before what follows; inf where it is not allowed or not looked at."""
    guess_of_step: Array
    sure_of_step: Array
    closing_cost: Array
    closing_code: Ints
    end_code: Ints
    after: States
    """Every outcome that goes on, belief normalised."""
    chance: Array
    guess: Array
    sure: Array
    order: Ints
    """State times a stride plus step, for each outcome, sorted."""
    sorted: Ints
    """The outcomes in that order."""

    def outcomes(self, row: int, step: int) -> NDArray[np.intp]:
        """The rows of `after` to which one step of one state leads."""
        first, last = np.searchsorted(self.order, [row * STRIDE + step, row * STRIDE + step + 1])
        return self.sorted[first:last]


def unfold(model: Model, states: States) -> Unfolded:
    """All steps of the states, whose beliefs are normalised."""
    allow = allowed(model, states)
    closing = best_closing(model, states, allow)
    steps = len(model.checks) + len(model.remedies)
    cost = np.full((len(states), steps + 1), np.inf)
    parts: list[tuple[int, NDArray[np.intp], Array, States]] = []
    for k in range(len(model.checks)):
        rows = np.flatnonzero(allow.checks[:, k])
        if len(rows):
            cost[rows, k] = _check_cost(model, states.take(rows), k)
            parts += _answers(model, states.take(rows), rows, k)
    looked_at = _best_remedies(model, states, allow)
    for r, table in enumerate(model.remedies):
        rows = np.flatnonzero(looked_at[:, r])
        code = len(model.checks) + r
        if len(rows):
            here = states.take(rows)
            cost[rows, code] = table.cost + access_minutes(model, table.places & ~here.reached)
            after = here.after_remedy(model, r)
            parts.append((code, rows, after.weight.sum(axis=1), after))
    end_code, cost[:, steps] = _ending_at_once(model, states, allow)
    closing_code = _closing_code(model, closing.remedy, closing.ending)
    # Nothing closes before all that is asked first has been asked.
    closing_cost = np.where(allow.referral, closing.cost, np.inf)
    return _valued(model, states, cost, parts, closing_cost, closing_code, end_code)


def _worth(model: Model, after: States) -> tuple[Array, Array]:
    """For outcomes not unfolded: what they can be had for, and what they may come to.

    While something is still to be asked first there is no choice, so any bound from above will do there.
    """
    allow = allowed(model, after)
    sure = best_closing(model, after, allow).cost
    known = np.minimum(known_cause_costs(model, after), sure)
    guess = sure - KAPPA * (sure - known)
    if allow.referral.all():
        return sure, guess
    asking = sum(table.cost for table in model.checks if table.first) + float(model.access.sum())
    most = asking + max(ending.minutes for ending in model.endings) + model.refer_cost
    return np.where(allow.referral, sure, most), np.where(allow.referral, guess, most)


def _check_cost(model: Model, here: States, k: int) -> Array:
    """A check's own cost, the way there, and its stops."""
    table = model.checks[k]
    unsure = table.check.not_sure
    cost = table.cost + access_minutes(model, table.places & ~here.reached)
    for answer, stops in enumerate(table.stops):
        if stops:
            after = here.after_check(model, k, answer)
            cost = cost + (1 - unsure) * ending_costs(model, after)[:, table.stop_referral]
    if table.first:
        cost = cost + unsure * ending_costs(model, here)[:, table.stop_referral]
    return np.asarray(cost)


def _answers(
    model: Model, here: States, rows: NDArray[np.intp], k: int
) -> list[tuple[int, NDArray[np.intp], Array, States]]:
    table = model.checks[k]
    unsure = table.check.not_sure
    found = []
    for answer, stops in enumerate(table.stops):
        if not stops:
            after = here.after_check(model, k, answer)
            found.append((k, rows, (1 - unsure) * after.weight.sum(axis=1), after))
    if not table.first:
        found.append((k, rows, np.full(len(here), unsure), here.after_check(model, k, None)))
    return found


def _best_remedies(model: Model, states: States, allow: Allowed) -> NDArray[np.bool_]:
    """The allowed remedies with the best cure over cost, the way there included."""
    if not model.remedies:
        return allow.remedies
    at = [table.hypothesis for table in model.remedies]
    cost = np.array([table.cost for table in model.remedies])
    places = np.array([table.places for table in model.remedies], dtype=np.int64)
    way = access_minutes(model, places & ~states.reached[:, None])
    gain = states.weight[:, at] * np.array([table.cures for table in model.remedies])
    ratio = np.where(allow.remedies, gain / (cost + way), -1.0)
    if len(model.remedies) <= MOST_REMEDIES:
        return allow.remedies
    least = np.partition(ratio, -MOST_REMEDIES, axis=1)[:, -MOST_REMEDIES]
    return allow.remedies & (ratio >= least[:, None])


def _ending_at_once(model: Model, states: States, allow: Allowed) -> tuple[Ints, Array]:
    last = model.referrals + model.hand_overs
    costs = ending_costs(model, states)[:, :last].copy()
    costs[~allow.hand_over, model.referrals :] = np.inf
    costs[~allow.referral] = np.inf
    best = costs.argmin(axis=1)
    code = len(model.checks) + len(model.remedies) + best
    return code.astype(np.int64), costs[np.arange(len(states)), best]


def _closing_code(model: Model, remedy: Ints, ending: Ints) -> Ints:
    at_once = len(model.checks) + len(model.remedies) + ending
    return np.where(remedy >= 0, len(model.checks) + remedy, at_once).astype(np.int64)


def _valued(
    model: Model,
    states: States,
    cost: Array,
    parts: list[tuple[int, NDArray[np.intp], Array, States]],
    closing_cost: Array,
    closing_code: Ints,
    end_code: Ints,
) -> Unfolded:
    """Values every outcome, and adds what may follow to each step."""
    kept = []
    for code, rows, chance, after in parts:
        alive = chance > 0
        if alive.any():
            kept.append((code, rows[alive], chance[alive], after.take(alive)))
    guess_of_step, sure_of_step = cost.copy(), cost.copy()
    if not kept:
        nothing = states.take(np.zeros(0, dtype=np.intp))
        none, ints = np.zeros(0), np.zeros(0, dtype=np.int64)
        return Unfolded(
            cost,
            guess_of_step,
            sure_of_step,
            closing_cost,
            closing_code,
            end_code,
            nothing,
            none,
            none,
            none,
            ints,
            ints,
        )
    after = joined([part[3] for part in kept]).normalised()
    chance = np.concatenate([part[2] for part in kept])
    owner = np.concatenate([part[1] for part in kept]).astype(np.int64)
    step = np.concatenate([np.full(len(part[1]), part[0], dtype=np.int64) for part in kept])
    sure, guess = _worth(model, after)
    np.add.at(guess_of_step, (owner, step), chance * guess)
    np.add.at(sure_of_step, (owner, step), chance * sure)
    place = owner * STRIDE + step
    order = np.argsort(place, kind="stable")
    return Unfolded(
        cost,
        guess_of_step,
        sure_of_step,
        closing_cost,
        closing_code,
        end_code,
        after,
        chance,
        guess,
        sure,
        place[order],
        order,
    )
