"""A step as a number, so that whole batches of decisions are arrays: checks, then remedies, then endings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed, allowed
from diagnose.reasoning.closing import Closing, best_closing
from diagnose.reasoning.lookahead import check_values
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States
from diagnose.terms import Step

Ints = NDArray[np.int64]


def step_of(model: Model, code: int) -> Step:
    """The step that a code stands for."""
    if code < len(model.checks):
        return Step("check", model.checks[code].check.id)
    code -= len(model.checks)
    if code < len(model.remedies):
        return Step("remedy", model.hypotheses[model.remedies[code].hypothesis].id)
    return model.endings[code - len(model.remedies)].step


def by_closing(model: Model, states: States, hand_over: bool = False) -> Ints:
    """The first step of the best closing: nothing more is asked, except what must be asked first.

    Without `hand_over` it ends in a referral, as an improbable branch does.
    """
    allow = allowed(model, states)
    if not hand_over:
        allow = replace(allow, hand_over=np.zeros(len(states), dtype=bool))
    return _first_steps(model, allow, best_closing(model, states, allow))


def _first_steps(model: Model, allow: Allowed, closing: Closing) -> Ints:
    """What a closing begins with; where something has still to be asked first, that."""
    at_once = len(model.checks) + len(model.remedies) + closing.ending
    codes = np.where(closing.remedy >= 0, len(model.checks) + closing.remedy, at_once)
    asking = ~allow.referral
    if asking.any():
        codes[asking] = allow.checks[asking].argmax(axis=1)
    return codes.astype(np.int64)


def by_look_ahead(model: Model, states: States) -> Ints:
    """The better of closing and of the best check by one-step look-ahead; ties go to the earlier check."""
    allow = allowed(model, states)
    closing = best_closing(model, states, allow)
    codes = _first_steps(model, allow, closing)
    free = replace(allow, checks=allow.checks & allow.referral[:, None])
    if not free.checks.any():
        return codes
    values = check_values(model, states, free)
    best = values.argmin(axis=1)
    worth_asking = values[np.arange(len(states)), best] < closing.cost * (1 - 1e-12)
    codes[worth_asking] = best[worth_asking]
    return codes
