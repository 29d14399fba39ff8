"""What one tree has at stake on a round: its causes, what each costs now and later, and what would show it.

A cause that is found on a round, at the base, costs what puts it right: its remedy with the way there, or the
visit of whoever it is referred to. Found later, on a journey, it costs the whole walk along the tree's route
(`robustness.cost_by_cause`), and, where it ends in a referral, the vehicle has to be brought there besides
(`AWAY`: judgement). Without a route the walk is taken as it would be without any check: remedies in their
best order, then a referral (`closing`), what looking for it costs shared alike by all causes; that is dearer
than the route by whatever its checks save.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.closing import access_minutes, best_closing
from diagnose.reasoning.expectations import entry_row
from diagnose.reasoning.model import HAND_OVER_MINUTES, Model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.route import Route
from diagnose.reasoning.states import state_of
from diagnose.terms import NOT_LISTED, Hands, Role, Situation, Step

Array = NDArray[np.float64]

AWAY = 240.0
"""Minutes that a referral costs more away from the base: the breakdown service's, as judgement."""


@dataclass(frozen=True, slots=True)
class Look:
    """One check of a tree as something that a task may bring along."""

    at: str | None
    hands: Hands
    by: Role
    tells: tuple[float, ...]
    """How far it tells each cause from the others: 1 for sure, 0 not at all."""


@dataclass(frozen=True, slots=True)
class Stake:
    """One tree; all tuples are in the order of its causes, `not-listed` last."""

    tree: str
    causes: tuple[str, ...]
    shares: tuple[float, ...]
    now: tuple[float, ...]
    """Minutes of putting it right where it is found on the round."""
    later: tuple[float, ...]
    """Minutes where it is found on a journey."""
    looks: tuple[Look, ...]
    lifts: Mapping[str, Mapping[str, tuple[float, ...]]]
    """Fact -> answer -> how many times as often each cause is met on such a vehicle."""
    applies_to: Mapping[str, Collection[str]]
    cases: float
    """Confirmed cases that the shares have learned from."""


def stake_of(model: Model, route: Route | None = None, minutes: Sequence[float] | None = None) -> Stake:
    """What a tree has at stake, its cost read off its route where that is at hand.

    `minutes` are those of the route for each cause, where they are known without it.
    """
    shares = model.prior
    now = _now(model)
    if minutes is not None:
        walk = np.array(minutes)
    elif route is not None:
        walk = cost_by_cause(route, model)
    else:
        walk = now + max(0.0, _without_checks(model) - float(shares @ now))
    referred = np.array([each.ending in ("refer", "none") for each in model.hypotheses])
    later = np.maximum(now, walk + AWAY * referred)
    return Stake(
        model.tree.id,
        model.ids,
        _plain(shares),
        _plain(now),
        _plain(later),
        tuple(
            Look(table.check.at, table.check.hands, table.check.by, _plain(_tells(table.rows, shares)))
            for table in model.checks
            if not table.first
        ),
        _lifts(model),
        model.tree.applies_to,
        float(sum(model.confirmed.values())),
    )


def _plain(values: Array) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _now(model: Model) -> Array:
    """What each cause costs once it is known, with the referral that follows where its remedy fails."""
    minutes = {ending.step: ending.minutes for ending in model.endings}
    costs = []
    for each in model.hypotheses:
        at = model.remedy_index.get(each.id)
        if at is not None:
            remedy = model.remedies[at]
            way = float(access_minutes(model, np.array([remedy.places]))[0])
            costs.append(remedy.cost + way + (1 - remedy.cures) * model.refer_cost)
        elif each.ending == "see":
            costs.append(HAND_OVER_MINUTES)
        else:
            costs.append(minutes.get(Step("referral", each.target), model.refer_cost))
    return np.array(costs)


def _without_checks(model: Model) -> float:
    root = state_of(model, Situation())
    asked = replace(root, asked=root.asked | (1 << len(model.tree.ask_first)) - 1)
    return float(best_closing(model, asked, allowed(model, asked)).cost[0])


def _tells(rows: Array, shares: Array) -> Array:
    """How far a check's answers tell each cause from the mean of the others.

    The total variation distance of the two rows: Youden's J (1950, from memory) of the best grouping of the
    answers.
    """
    total = shares @ rows
    others = (total - shares[:, None] * rows) / np.maximum(1 - shares, 1e-12)[:, None]
    return np.asarray(np.abs(rows - others).sum(axis=1) / 2)


def _lifts(model: Model) -> dict[str, dict[str, tuple[float, ...]]]:
    """P(answer | cause) over P(answer | any other vehicle), which is what the tree says `otherwise`."""
    found = {}
    for check in model.tree.checks.values():
        if check.fact:
            usual = entry_row(check.expect.get("otherwise"), check.answer_ids())
            lift = model.rows[check.id] / np.maximum(usual, 1e-3)
            lift[model.index[NOT_LISTED]] = 1.0
            found[check.id] = {a: _plain(lift[:, n]) for n, a in enumerate(check.answer_ids())}
    return found
