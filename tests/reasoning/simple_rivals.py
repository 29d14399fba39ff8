"""What a route has to be cheaper than: ways to choose the next step that need no planning.

- *bits per minute*: until one hypothesis leads with 0.8, the check with the most expected information for
  its minutes (waiting, money and the way there included); then closing.
- *in file order*: the checks as the author wrote them down, until one hypothesis leads with 0.8; then
  closing.
- *in file order, if worth it*: of the checks in file order the first after which closing is cheaper, by what
  is to be expected, than closing at once; closing where there is none.

All ask what is asked first, and nothing that safety does not allow; closing is the package's own (remedies in
the best order, then the best ending, hand-overs included), which flatters them.
"""

from __future__ import annotations

import numpy as np

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.closing import access_minutes, best_closing
from diagnose.reasoning.decisions import by_closing
from diagnose.reasoning.lookahead import check_values

LEADS = 0.8


class BitsPerMinute:
    """See above."""

    def __init__(self, model):
        self.model = model

    def decide(self, states):
        return _until_one_leads(self.model, states, self._worth(states))

    def _worth(self, states):
        belief = states.weight / states.weight.sum(axis=1, keepdims=True)
        before = _bits(belief)
        worth = np.zeros((len(states), len(self.model.checks)))
        for k, table in enumerate(self.model.checks):
            after = np.zeros(len(states))
            for answer in range(len(table.stops)):
                joint = belief * table.rows[:, answer]
                chance = joint.sum(axis=1)
                alive = chance > 0
                after[alive] += chance[alive] * _bits(joint[alive] / chance[alive, None])
            minutes = table.cost + access_minutes(self.model, table.places & ~states.reached)
            gained = np.maximum(before - after, 0.0)
            # What tells nothing is not asked, however cheap.
            worth[:, k] = np.where(gained > 1e-9, (1 - table.check.not_sure) * gained / minutes, -np.inf)
        return worth


class InFileOrder:
    """See above."""

    def __init__(self, model):
        self.model = model
        order = list(model.tree.checks)
        self.order = np.array([-float(order.index(table.check.id)) for table in model.checks])

    def decide(self, states):
        return _until_one_leads(self.model, states, np.tile(self.order, (len(states), 1)))


class InFileOrderIfWorthIt(InFileOrder):
    """See above."""

    def decide(self, states):
        model = self.model
        codes = by_closing(model, states, hand_over=True)
        allow = allowed(model, states)
        free = allow.checks & allow.referral[:, None]
        if not free.any():
            return codes
        closing = best_closing(model, states, allow).cost
        better = free & (check_values(model, states, allow) < closing[:, None] * (1 - 1e-12))
        worth = np.where(better, self.order, -np.inf)
        asking = better.any(axis=1)
        codes[asking] = worth[asking].argmax(axis=1)
        return codes


def _until_one_leads(model, states, worth):
    """The worthiest allowed check while nothing leads, else the first step of the best closing."""
    codes = by_closing(model, states, hand_over=True)
    allow = allowed(model, states)
    # Where something has still to be asked first, closing says so already.
    free = allow.checks & allow.referral[:, None]
    worth = np.where(free, worth, -np.inf)
    lead = states.weight.max(axis=1) >= LEADS * states.weight.sum(axis=1)
    asking = ~lead & (worth.max(axis=1, initial=-np.inf) > -np.inf)
    codes[asking] = worth[asking].argmax(axis=1)
    return codes


def _bits(belief):
    safe = np.where(belief > 0, belief, 1.0)
    return -(belief * np.log2(safe)).sum(axis=1)
