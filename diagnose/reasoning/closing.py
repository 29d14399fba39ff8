"""The cheapest way to end without asking anything more: some remedies in the best order, then a referral.

Where minutes do not depend on the order, remedies go by falling chance of a cure over cost, and one tries
every prefix of that order with the referral behind it (Kalagnanam & Henrion 1990; Heckerman, Breese &
Rommelse 1995). Getting to a place breaks that: the first remedy there pays the way for all. A place not
reached is then a useless job before its remedies, so its best prefix is taken as one bundle with one ratio,
and bundles and single remedies are merged by ratio (Horn 1972 for the tree of precedences). Costs are mass
times minutes, so weights need not sum to one. Work: states times remedies.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


MOST_TABLED = 12
"""Up to so many places, the way to every set of them is tabled."""


@dataclass(frozen=True, slots=True, eq=False)
class Closing:
    """For each state: the cost (mass times minutes) of the best ending, and its first step."""

    cost: Array
    remedy: Ints
    """The remedy to begin with, or -1 where it is best to end at once."""
    ending: Ints
    """The ending that it comes to, as an index of the model's endings."""


def access_minutes(model: Model, places: Ints) -> Array:
    """Minutes of getting to every place in each bit mask."""
    if len(model.access) <= MOST_TABLED:
        return np.asarray(_access_of_sets(model)[places])
    bits = np.arange(len(model.access), dtype=np.int64)
    return np.asarray(((places[..., None] >> bits) & 1) @ model.access)


@lru_cache(maxsize=64)
def _access_of_sets(model: Model) -> Array:
    """The same for every set of places there is, by its mask."""
    sets = np.zeros(1)
    for minutes in model.access:
        sets = np.concatenate([sets, sets + minutes])
    return sets


def ending_costs(model: Model, states: States) -> Array:
    """What each ending would cost in each state (states by all endings, choosable or not)."""
    mass = states.weight.sum(axis=1)
    minutes = np.array([ending.minutes for ending in model.endings])
    serves = np.array([ending.serves for ending in model.endings])
    unserved = mass[:, None] - states.weight @ serves.T
    return np.asarray(mass[:, None] * minutes + model.refer_cost * np.maximum(unserved, 0.0))


def best_closing(model: Model, states: States, allow: Allowed, tries: Array | None = None) -> Closing:
    """The best remedies-then-ending for each state; `allow` is what may be done at the first step.

    `tries` says how many remedies each state still has, if not what the tree leaves it. The mains are
    restored once at most, so of several remedies that do it each is tried as the only one. What else safety
    says of later steps is asked again when they come up.
    """
    restoring = np.array([table.restores_mains for table in model.remedies], dtype=bool)
    if restoring.sum() < 2:
        return _closing(model, states, allow, tries)
    ways = []
    for only in np.flatnonzero(restoring):
        barred = restoring.copy()
        barred[only] = False
        ways.append(_closing(model, states, replace(allow, remedies=allow.remedies & ~barred), tries))
    best = np.array([way.cost for way in ways]).argmin(axis=0)
    everyone = np.arange(len(states))
    return Closing(
        np.array([way.cost for way in ways])[best, everyone],
        np.array([way.remedy for way in ways])[best, everyone],
        np.array([way.ending for way in ways])[best, everyone],
    )


def _closing(model: Model, states: States, allow: Allowed, tries: Array | None) -> Closing:
    first = ending_costs(model, states)
    choosable = np.full(first.shape, np.inf)
    last = model.referrals + model.hand_overs
    choosable[:, : model.referrals] = first[:, : model.referrals]
    choosable[:, model.referrals : last] = np.where(
        allow.hand_over[:, None], first[:, model.referrals : last], np.inf
    )
    best = choosable.min(axis=1)
    ending = choosable.argmin(axis=1)
    remedy = np.full(len(states), -1, dtype=np.int64)
    if not model.remedies or not allow.remedies.any():
        return Closing(best, remedy, ending)
    if tries is None:
        limit = np.inf if model.tree.tries is None else float(model.tree.tries)
        tries = np.asarray(limit - states.starts, dtype=float)
    order = remedy_order(model, states, allow)
    _try_prefixes(model, states, allow, tries, order, choosable, best, remedy, ending)
    return Closing(best, remedy, ending)


def remedy_order(model: Model, states: States, allow: Allowed) -> Ints:
    """Remedies by falling ratio of cure to cost, bundles of a place kept together (states by remedies)."""
    cost = np.array([t.cost for t in model.remedies])
    gain = _gains(model, states, allow)
    ratio = gain / cost
    places = np.array([t.places for t in model.remedies], dtype=np.int64)
    effective = ratio.copy()
    for place in np.unique(places[places > 0]):
        members = np.flatnonzero(places == place)
        way = access_minutes(model, place & ~states.reached)
        effective[:, members] = _bundled(gain[:, members], cost[members], ratio[:, members], way)
    effective[~allow.remedies] = -1.0
    # The last key sorts first: by bundle, within it by each remedy's own ratio, then in file order.
    return np.lexsort((-ratio, -effective), axis=1).astype(np.int64)


def _gains(model: Model, states: States, allow: Allowed) -> Array:
    cures = np.array([t.cures for t in model.remedies])
    at = [t.hypothesis for t in model.remedies]
    return np.asarray(np.where(allow.remedies, states.weight[:, at] * cures, 0.0))


def _bundled(gain: Array, cost: Array, ratio: Array, way: Array) -> Array:
    """The ratio by which each remedy of one place is merged: that of its bundle, or its own behind it."""
    order = np.argsort(-ratio, axis=1, kind="stable")
    gains = np.take_along_axis(gain, order, axis=1).cumsum(axis=1)
    costs = cost[order].cumsum(axis=1) + way[:, None]
    prefix = gains / costs
    end = prefix.argmax(axis=1)
    within = np.arange(len(cost)) <= end[:, None]
    sorted_ratio = np.take_along_axis(ratio, order, axis=1)
    bundle = np.take_along_axis(prefix, end[:, None], axis=1)
    merged = np.where(within & (way > 0)[:, None], bundle, sorted_ratio)
    back = np.empty_like(merged)
    np.put_along_axis(back, order, merged, axis=1)
    return back


def _try_prefixes(
    model: Model,
    states: States,
    allow: Allowed,
    tries: Array,
    order: Ints,
    choosable: Array,
    best: Array,
    remedy: Ints,
    ending: NDArray[np.intp],
) -> None:
    """Goes along each state's order and keeps, in place, the prefix after which ending is cheapest."""
    cost = np.array([t.cost for t in model.remedies])
    places = np.array([t.places for t in model.remedies], dtype=np.int64)
    gain = _gains(model, states, allow)
    everyone = np.arange(len(states))
    mass = states.weight.sum(axis=1)
    left, spent, reached = mass.copy(), np.zeros(len(states)), states.reached.copy()
    serving = np.array([e.minutes + model.refer_cost for e in model.endings])
    serving[0] = model.refer_cost
    for position in range(len(model.remedies)):
        nth = order[:, position]
        open_to_it = allow.remedies[everyone, nth] & (position < tries)
        if not open_to_it.any():
            return
        spent = spent + left * (cost[nth] + access_minutes(model, places[nth] & ~reached))
        reached |= places[nth]
        left = left - gain[everyone, nth]
        # No remedy's hypothesis is served by a referral but `refer_to`, so what is served stays as it was.
        after = choosable - (mass - left)[:, None] * serving
        total = spent + after.min(axis=1)
        better = open_to_it & (total < best - 1e-12 * (1 + best))
        best[better] = total[better]
        remedy[better] = order[better, 0]
        ending[better] = after.argmin(axis=1)[better]
