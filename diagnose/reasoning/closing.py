"""The cheapest way to end without asking anything more: some remedies in the best order, then a referral.

Where minutes do not depend on the order, remedies go by falling chance of a cure over cost, and one tries
every prefix of that order with the referral behind it (Kalagnanam & Henrion 1990; Heckerman, Breese &
Rommelse 1995). Getting to a place breaks that: the first remedy there pays the way for all. A place not
reached is then a useless job before its remedies, so its best prefix is taken as one bundle with one ratio,
and bundles and single remedies are merged by ratio (Horn 1972 for the tree of precedences).

A remedy of several causes may need two places. Then neither is a tree of precedences; but in any order one of
them is reached first. So each order of such places is tried: in it a place comes behind the one before, and a
remedy behind the last of its places, which is a tree again. Costs are mass times minutes, so weights need not
sum to one. Work: states times remedies, times the orders of places that are needed together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import permutations, product
from math import factorial, prod

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import Allowed
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


MOST_TABLED = 12
"""Up to so many places, the way to every set of them is tabled."""


MOST_ORDERS = 24
"""So many orders of places that are needed together are tried; beyond, an ending need not be the best."""


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """A place, and the remedies that can be done once it is reached too."""

    places: int
    members: Ints


Chain = tuple[Level, ...]
"""Levels in the order in which they are reached."""


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
    allows = [allow]
    if restoring.sum() > 1:
        alone = np.eye(len(restoring), dtype=bool)[restoring]
        allows = [replace(allow, remedies=allow.remedies & (only | ~restoring)) for only in alone]
    ways = [
        _closing(model, states, each, tries, chains) for each in allows for chains in _orders_of_places(model)
    ]
    if len(ways) == 1:
        return ways[0]
    best = np.array([way.cost for way in ways]).argmin(axis=0)
    everyone = np.arange(len(states))
    return Closing(
        np.array([way.cost for way in ways])[best, everyone],
        np.array([way.remedy for way in ways])[best, everyone],
        np.array([way.ending for way in ways])[best, everyone],
    )


def is_best_of_all(model: Model) -> bool:
    """Whether `best_closing` is the best of every order of every set of remedies, as long as tries last."""
    return len(_together(model)) == 0 or len(_orders_of_places(model)) > 1


@lru_cache(maxsize=64)
def _together(model: Model) -> tuple[tuple[int, ...], ...]:
    """Places by their bits, those in one group that some remedy needs together; groups of one left out."""
    groups: list[int] = []
    for table in model.remedies:
        joined = table.places
        if joined & (joined - 1):
            apart = [group for group in groups if not group & joined]
            for group in groups:
                joined |= group if group & joined else 0
            groups = [*apart, joined]
    return tuple(tuple(1 << bit for bit in range(len(model.access)) if group >> bit & 1) for group in groups)


@lru_cache(maxsize=64)
def _orders_of_places(model: Model) -> tuple[tuple[Chain, ...], ...]:
    """Every way of putting places that are needed together into an order; just one where none are.

    Where these are too many, each set of places that a remedy needs counts as a place of its own.
    """
    needed = np.array([table.places for table in model.remedies], dtype=np.int64)
    together = _together(model)
    if prod(factorial(len(group)) for group in together) > MOST_ORDERS:
        return (
            tuple(
                (Level(int(each), np.flatnonzero(needed == each)),) for each in np.unique(needed[needed > 0])
            ),
        )
    grouped = {place for group in together for place in group}
    single = [((1 << bit,),) for bit in range(len(model.access)) if 1 << bit not in grouped]
    ways = product(*single, *(permutations(group) for group in together))
    return tuple(tuple(_chain(places, needed) for places in way) for way in ways)


def _chain(places: tuple[int, ...], needed: Ints) -> Chain:
    levels, reached = [], 0
    for place in places:
        before, reached = reached, reached | place
        able = needed & ~reached == 0
        levels.append(Level(place, np.flatnonzero(able & (needed & ~before != 0))))
    return tuple(levels)


def _closing(
    model: Model, states: States, allow: Allowed, tries: Array | None, chains: tuple[Chain, ...]
) -> Closing:
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
    order = remedy_order(model, states, allow, chains)
    _try_prefixes(model, states, allow, tries, order, choosable, best, remedy, ending)
    return Closing(best, remedy, ending)


def remedy_order(
    model: Model, states: States, allow: Allowed, chains: tuple[Chain, ...] | None = None
) -> Ints:
    """Remedies by falling ratio of cure to cost, bundles of a place kept together (states by remedies).

    `chains` are the orders in which places that are needed together are reached, if not the first there is.
    """
    cost = np.array([t.cost for t in model.remedies])
    gain = _gains(model, states, allow)
    ratio = gain / cost
    effective, within = ratio.copy(), -ratio
    for number, chain in enumerate(_orders_of_places(model)[0] if chains is None else chains):
        _bundle(model, states, chain, gain, cost, effective, within)
        for level in chain:
            # No two bundles are mixed, not even where their ratios are equal.
            within[:, level.members] += number * len(cost)
    effective[~allow.remedies] = -1.0
    # The last key sorts first: by bundle, and within each as it was put together.
    return np.lexsort((within, -effective), axis=1).astype(np.int64)


def _bundle(
    model: Model, states: States, chain: Chain, gain: Array, cost: Array, effective: Array, within: Array
) -> None:
    """From the last place of a chain to the first: bundles, in place, what is behind it.

    `effective` becomes the ratio by which each remedy is merged with the rest, `within` its number in the
    chain.
    """
    if len(chain) == 1 and len(chain[0].members) == 1:
        # The commonest place by far, and nothing to be sorted.
        (level,) = chain
        way = access_minutes(model, level.places & ~states.reached)
        effective[:, level.members] = gain[:, level.members] / (cost[level.members] + way[:, None])
        within[:, level.members] = 0.0
        return
    rows = np.arange(len(states))[:, None]
    behind = np.zeros(0, dtype=np.int64)
    charged = np.broadcast_to(cost, gain.shape)
    for level in reversed(chain):
        last = not len(behind)
        behind = np.concatenate([behind, level.members])
        if not len(behind):
            continue
        keys = -effective[:, behind]
        order = keys.argsort(axis=1, kind="stable") if last else np.lexsort((within[:, behind], keys), axis=1)
        nth = behind[order]
        way = access_minutes(model, level.places & ~states.reached)
        effective[rows, nth] = _bundled(gain[rows, nth], charged[rows, nth], effective[rows, nth], way)
        within[rows, nth] = np.arange(len(behind))
        if level is not chain[0]:
            # Whoever reaches the place before brings this way along with the first remedy behind it.
            charged = charged.copy() if last else charged
            charged[rows[:, 0], nth[:, 0]] += way


def _gains(model: Model, states: States, allow: Allowed) -> Array:
    cures = np.array([t.cures for t in model.remedies])
    at = [t.hypothesis for t in model.remedies]
    return np.asarray(np.where(allow.remedies, states.weight[:, at] * cures, 0.0))


def _bundled(gain: Array, cost: Array, ratio: Array, way: Array) -> Array:
    """The ratio by which each remedy of one place is merged: that of its bundle, or its own behind it.

    Remedies are in the order in which they are done.
    """
    prefix = gain.cumsum(axis=1) / (cost.cumsum(axis=1) + way[:, None])
    end = prefix.argmax(axis=1)[:, None]
    within = (np.arange(gain.shape[1]) <= end) & (way > 0)[:, None]
    return np.where(within, np.take_along_axis(prefix, end, axis=1), ratio)


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
