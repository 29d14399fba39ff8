"""What may be done next: one function of the state, for compiling, planning anew and the prompt alike.

The rules (numbers are those that a proof names):
1. `ask_first` comes first, in order, before anything else.
2. No step has tools where the hazard forbids it; such files are refused, so no table here holds such a step.
3. Once the causes under gas, or those under mains, together hold more than half of the probability and no
check
   or remedy of theirs is left for this person, only a referral is allowed.
6. No more starts of the appliance than `tries`; the mains are restored once at most.
A stop, and what comes after it, is no choice and so is not here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.model import REFERRING_HAZARDS, Model
from diagnose.reasoning.states import States, state_of, stop_in
from diagnose.terms import Situation, Step

Bools = NDArray[np.bool_]

HALF = 0.5 * (1 + 1e-12)
"""More than half: the margin keeps an exact half from being decided by rounding."""


@dataclass(frozen=True, slots=True, eq=False)
class Allowed:
    """For each state of a batch, which steps are allowed."""

    checks: Bools
    """States by checks."""
    remedies: Bools
    """States by remedies."""
    hand_over: Bools
    referral: Bools


def allowed(model: Model, states: States) -> Allowed:
    """Which steps safety allows in each state."""
    checks, remedies = _left(model, states)
    first = _first_to_ask(model, states)
    asking = first >= 0
    referring = _must_refer(model, states, checks, remedies)
    free = ~asking & ~referring
    checks &= free[:, None]
    checks[asking, first[asking]] = True
    return Allowed(checks, remedies & free[:, None], free, ~asking)


def allowed_steps(model: Model, situation: Situation, starts: int = 0) -> tuple[Step, ...]:
    """The steps that safety allows in one situation; after a stop answer that stop alone."""
    referral = stop_in(model, situation)
    if referral is not None:
        return (Step("stop", referral),)
    one = allowed(model, state_of(model, situation, starts))
    steps = [Step("check", model.checks[k].check.id) for k in np.flatnonzero(one.checks[0])]
    steps += [
        Step("remedy", model.hypotheses[model.remedies[r].hypothesis].id)
        for r in np.flatnonzero(one.remedies[0])
    ]
    last = model.referrals + model.hand_overs
    steps += [e.step for e in model.endings[model.referrals : last] if one.hand_over[0]]
    steps += [e.step for e in model.endings[: model.referrals] if one.referral[0]]
    return tuple(dict.fromkeys(steps))


def _left(model: Model, states: States) -> tuple[Bools, Bools]:
    """Checks not asked and remedies not done that rule 6 does not bar."""
    tries = model.tree.tries
    out_of_tries = np.zeros(len(states), dtype=bool) if tries is None else states.starts >= tries
    bits = 1 << np.arange(max(len(model.checks), len(model.remedies)))
    starting = np.array([t.check.starts for t in model.checks], dtype=bool)
    restoring = np.array([t.check.restores_mains for t in model.checks], dtype=bool)
    checks = (states.asked[:, None] & bits[: len(model.checks)]) == 0
    checks &= ~(out_of_tries[:, None] & starting) & ~(states.restored[:, None] & restoring)
    restoring = np.array([t.restores_mains for t in model.remedies], dtype=bool)
    remedies = (states.done[:, None] & bits[: len(model.remedies)]) == 0
    remedies &= ~out_of_tries[:, None] & ~(states.restored[:, None] & restoring)
    return checks, remedies


def _first_to_ask(model: Model, states: States) -> NDArray[np.intp]:
    """The first of `ask_first` that was not asked, or -1."""
    first = np.full(len(states), -1)
    for k in reversed(range(len(model.tree.ask_first))):
        first[(states.asked & (1 << k)) == 0] = k
    return first


def _must_refer(model: Model, states: States, checks: Bools, remedies: Bools) -> Bools:
    """Rule 3, for gas and for mains."""
    total = states.weight.sum(axis=1)
    must = np.zeros(len(states), dtype=bool)
    for row, hazard in enumerate(REFERRING_HAZARDS):
        leads = states.weight @ model.mains_and_gas[row] > HALF * total
        if not leads.any():
            continue
        their_checks, their_remedies = _theirs(model, hazard)
        left = (checks & their_checks).any(axis=1) | (remedies & their_remedies).any(axis=1)
        must |= leads & ~left
    return must


@lru_cache(maxsize=64)
def _theirs(model: Model, hazard: str) -> tuple[Bools, Bools]:
    return steps_under(model, hazard)


def steps_under(model: Model, hazard: str) -> tuple[Bools, Bools]:
    """Checks and remedies of the causes under a hazard that need no tools.

    A cause that is harmless by itself makes no check theirs, even where a cut set joins it to one that is
    not.
    """
    events = {
        name
        for each in model.hypotheses
        for cause in each.causes
        if hazard in model.tree.events[cause].hazards
        for name in (cause, *model.tree.events[cause].above)
    }
    checks = [t.check.hands != "tools" and not events.isdisjoint(t.check.expect) for t in model.checks]
    done = [model.hypotheses[t.hypothesis] for t in model.remedies]
    remedies = [each.hands != "tools" and hazard in each.hazards for each in done]
    return np.array(checks, dtype=bool), np.array(remedies, dtype=bool)
