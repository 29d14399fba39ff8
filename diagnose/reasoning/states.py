"""Many states of a walk at once, as arrays: the belief, and as bit masks what was asked, tried and reached.

A state is all that the next step depends on. One walk is a batch of one; compiling a route handles thousands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.model import Model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import COULD_NOT, NOT_SURE, Situation

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class States:
    """A batch of states; every field has the same first axis."""

    weight: Array
    """Belief times any mass (states by hypotheses): costs scale with it, so nothing need be normalised."""
    asked: Ints
    """Bits of checks that are not to be asked again."""
    done: Ints
    """Bits of remedies that are not to be offered again."""
    reached: Ints
    """Bits of places where one has been."""
    starts: Ints
    """How many steps have started the appliance."""
    restored: NDArray[np.bool_]
    """Whether the mains have been restored once."""
    trail: Ints
    """Which answers were given and remedies failed since the root, as one number (`trail_steps`)."""

    def __len__(self) -> int:
        return len(self.asked)

    def take(self, rows: NDArray[np.intp] | NDArray[np.bool_]) -> States:
        """Some of the states, in the order given."""
        return States(
            self.weight[rows],
            self.asked[rows],
            self.done[rows],
            self.reached[rows],
            self.starts[rows],
            self.restored[rows],
            self.trail[rows],
        )

    def after_check(self, model: Model, check: int, answer: int | None) -> States:
        """The states once check number `check` was answered; None is *not sure*."""
        table = model.checks[check]
        weight = self.weight if answer is None else self.weight * table.rows[:, answer]
        return States(
            weight,
            self.asked | (1 << check),
            self.done,
            self.reached | table.places,
            self.starts + int(table.check.starts),
            self.restored | table.check.restores_mains,
            self.trail
            + trail_steps(model)[0][check] * (1 + (len(table.stops) if answer is None else answer)),
        )

    def after_remedy(self, model: Model, remedy: int) -> States:
        """The states once remedy number `remedy` was done and did not cure."""
        table = model.remedies[remedy]
        weight = self.weight.copy()
        weight[:, table.hypothesis] *= 1 - table.cures
        return States(
            weight,
            self.asked,
            self.done | (1 << remedy),
            self.reached | table.places,
            self.starts + 1,
            self.restored | table.restores_mains,
            self.trail + trail_steps(model)[1][remedy],
        )

    def without_remedy(self, remedy: int) -> States:
        """The states once remedy number `remedy` could not be done: nothing learned, not offered again."""
        return replace(self, done=self.done | (1 << remedy))

    def normalised(self) -> States:
        """The same with beliefs that sum to one."""
        alive = self.revived()
        return replace(alive, weight=alive.weight / alive.weight.sum(axis=1, keepdims=True))

    def revived(self) -> States:
        """The same with belief in `not-listed` wherever nothing allows what was found."""
        dead = self.weight.sum(axis=1) <= 0
        if not dead.any():
            return self
        weight = self.weight.copy()
        weight[dead, -1] = 1.0
        return replace(self, weight=weight)


@lru_cache(maxsize=64)
def trail_steps(model: Model) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """What each check (per answer) and each failed remedy adds to a state's trail: a number in mixed radix.

    All noughts where the number would not fit 62 bits; such a tree is far too large for a plan by whole
    tables.
    """
    radix, checks, remedies = 1, [], []
    for table in model.checks:
        checks.append(radix)
        radix *= len(table.stops) + 2
    for _ in model.remedies:
        remedies.append(radix)
        radix *= 2
    if radix >= 1 << 62:
        return (0,) * len(checks), (0,) * len(remedies)
    return tuple(checks), tuple(remedies)


def trails_fit(model: Model) -> bool:
    """Whether every state of a model has a trail of its own."""
    steps = [step for steps in trail_steps(model) for step in steps]
    return not steps or any(steps)


def joined(batches: list[States]) -> States:
    """Several batches as one, in their order."""
    return States(
        np.concatenate([b.weight for b in batches]),
        np.concatenate([b.asked for b in batches]),
        np.concatenate([b.done for b in batches]),
        np.concatenate([b.reached for b in batches]),
        np.concatenate([b.starts for b in batches]),
        np.concatenate([b.restored for b in batches]),
        np.concatenate([b.trail for b in batches]),
    )


def gathered(rows: list[tuple[States, int]]) -> States:
    """Single states out of several batches as one batch."""
    return States(
        np.array([batch.weight[row] for batch, row in rows]),
        np.array([batch.asked[row] for batch, row in rows]),
        np.array([batch.done[row] for batch, row in rows]),
        np.array([batch.reached[row] for batch, row in rows]),
        np.array([batch.starts[row] for batch, row in rows]),
        np.array([batch.restored[row] for batch, row in rows]),
        np.array([batch.trail[row] for batch, row in rows]),
    )


def state_of(model: Model, situation: Situation, starts: int = 0) -> States:
    """The one state (a batch of one) that a situation amounts to.

    A finding given ahead counts as having been at its place, and a start that it took counts as a start.
    `starts` is the least number of starts: a walk passes what its journal holds, taken-back ones included.
    """
    asked = done = reached = used = 0
    restored = False
    for finding in situation.findings.values():
        check = model.tree.checks.get(finding.check)
        if check is None:
            continue
        if check.id in model.check_index:
            asked |= 1 << model.check_index[check.id]
        if check.at is not None:
            reached |= 1 << model.place_bits[check.at]
        used += int(check.starts)
        restored = restored or check.restores_mains
    for cut_set, what in situation.tried.items():
        if cut_set not in model.index:
            continue
        if cut_set in model.remedy_index:
            done |= 1 << model.remedy_index[cut_set]
        if what != COULD_NOT:
            # Whoever tried it: what is not for this person may have been tried by somebody else.
            each = model.hypotheses[model.index[cut_set]]
            reached |= sum(1 << model.place_bits[place] for place in each.places)
            used += 1
            restored = restored or each.restores_mains
    return States(
        posterior(model, situation)[None, :],
        np.array([asked], dtype=np.int64),
        np.array([done], dtype=np.int64),
        np.array([reached], dtype=np.int64),
        np.array([max(used, starts)], dtype=np.int64),
        np.array([restored]),
        np.zeros(1, dtype=np.int64),
    )


def stop_in(model: Model, situation: Situation) -> str | None:
    """The referral of the stop answer among the findings, if there is one.

    *Not sure* counts as the stop answer where it was asked first. Of several, the first of `ask_first`
    leads, then file order.
    """
    tree = model.tree
    for id in (*tree.ask_first, *(id for id in tree.checks if id not in tree.ask_first)):
        finding = situation.findings.get(id)
        if finding is None:
            continue
        unsure = finding.answer == NOT_SURE and id in tree.ask_first
        if unsure or finding.answer in tree.checks[id].stop_on:
            return tree.checks[id].refer
    return None
