"""Why this step: the minutes that it saves, the causes that it tells apart, and where each answer leads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs
from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.exact import ExactPlan, exact_plan, table_size
from diagnose.reasoning.lookahead import check_values
from diagnose.reasoning.model import CheckTable, Model
from diagnose.reasoning.planning import MOST_AT_ONCE, planner_at_once
from diagnose.reasoning.states import States, joined, state_of
from diagnose.terms import NOT_CURED, NOT_SURE, Situation, Step

Array = NDArray[np.float64]

TELLING = 0.03
"""A cause is told apart if some answer moves its share by this much."""


@dataclass(frozen=True, slots=True)
class Why:
    """The reasons for one step."""

    saves: float
    """Expected minutes saved against the best way without it; nought for what is always asked first."""
    separates: tuple[str, ...]
    """The hypotheses whose shares an answer would move most, the most moved first."""
    leads_to: Mapping[str, Step]
    """What would come next after each answer that goes on."""


def why(model: Model, situation: Situation, step: Step, starts: int = 0) -> Why:
    """The reasons for a step in a situation; a referral or stop separates nothing and saves nothing."""
    state = state_of(model, situation, starts)
    if step.kind == "check" and step.of in model.check_index:
        k = model.check_index[step.of]
        first = model.checks[k].first
        saves = 0.0 if first else _saved_by_check(model, state, k)
        return Why(saves, _separated(model, state, k), _after_check(model, state, k))
    if step.kind == "remedy" and step.of in model.remedy_index:
        r = model.remedy_index[step.of]
        after = state.after_remedy(model, r).revived()
        return Why(_saved_by_remedy(model, state, r), (step.of,), {NOT_CURED: _step(model, after)})
    return Why(0.0, (), {})


def _step(model: Model, state: States) -> Step:
    root = replace(state, trail=np.zeros_like(state.trail))
    return step_of(model, int(planner_at_once(model, root).decide(root)[0]))


def _exact(model: Model, state: States) -> ExactPlan:
    return exact_plan(model, replace(state, trail=np.zeros_like(state.trail)))


def _first_steps(model: Model, state: States) -> Array:
    """What each step would cost as the next one, by code; inf where it is not allowed.

    Exactly where that is soon done; else with the better of one more step and of ending behind it.
    """
    if table_size(model, state) <= MOST_AT_ONCE:
        return _exact(model, state).values
    return looking_two_ahead(model, state)


def looking_two_ahead(model: Model, state: States) -> Array:
    """Every step's minutes by two-step look-ahead, by code (a batch of one; inf where it is not allowed)."""
    allow = allowed(model, state)
    mass = float(state.weight.sum())
    steps, last = len(model.checks) + len(model.remedies), model.referrals + model.hand_overs
    values = np.full(steps + last, np.inf)
    values[steps:] = ending_costs(model, state)[0, :last]
    values[steps : steps + model.referrals][~np.repeat(allow.referral, model.referrals)] = np.inf
    values[steps + model.referrals :][~np.repeat(allow.hand_over, model.hand_overs)] = np.inf
    following: list[tuple[int, float, States]] = []
    for k in np.flatnonzero(allow.checks[0]):
        table = model.checks[k]
        values[k] = mass * (table.cost + _way(model, state, table.places))
        for answer, chance, after in _outcomes(model, state, int(k)):
            if _stops(table, answer):
                values[k] += chance * float(ending_costs(model, after)[0, table.stop_referral])
            else:
                following.append((int(k), chance, after))
    for r in np.flatnonzero(allow.remedies[0]):
        remedy = model.remedies[r]
        code = len(model.checks) + int(r)
        values[code] = mass * (remedy.cost + _way(model, state, remedy.places))
        following.append((code, 1.0, state.after_remedy(model, int(r))))
    if following:
        worth = _looking_ahead(model, joined([after for *_, after in following]))
        for (code, chance, _), to_come in zip(following, worth, strict=True):
            values[code] += chance * to_come
    return values / mass


def _looking_ahead(model: Model, states: States) -> Array:
    """Minutes times mass of the better of ending and of asking once more; nought where nothing is left."""
    alive = states.revived()
    allow = allowed(model, alive)
    least = np.minimum(
        best_closing(model, alive, allow).cost,
        check_values(model, alive, allow).min(axis=1, initial=np.inf),
    )
    return np.asarray(np.where(states.weight.sum(axis=1) > 0, least, 0.0))


def _way(model: Model, state: States, places: int) -> float:
    return float(access_minutes(model, places & ~state.reached)[0])


def _outcomes(model: Model, state: States, k: int) -> Iterator[tuple[int | None, float, States]]:
    """Each answer of a check, None for *not sure*: the part of it that its cause has, and the state after."""
    table = model.checks[k]
    for answer in (*range(len(table.stops)), None):
        chance = table.check.not_sure if answer is None else 1 - table.check.not_sure
        yield answer, chance, state.after_check(model, k, answer)


def _stops(table: CheckTable, answer: int | None) -> bool:
    """Whether an answer ends the walk; *not sure* does where it is asked first."""
    return table.first if answer is None else table.stops[answer]


def _saved_by_check(model: Model, state: States, k: int) -> float:
    without = replace(state, asked=state.asked | (1 << k))
    exactly = table_size(model, state) <= MOST_AT_ONCE
    # Without it there is less to table; what is compared has to be measured in the same way all the same.
    left = _exact(model, without).values if exactly else looking_two_ahead(model, without)
    return max(0.0, float(left.min() - _first_steps(model, state).min()))


def _saved_by_remedy(model: Model, state: States, r: int) -> float:
    """Against the best other step to begin with: asking first, another remedy first, or ending at once."""
    values = _first_steps(model, state)
    return max(0.0, float(np.delete(values, len(model.checks) + r).min() - values.min()))


def _separated(model: Model, state: States, k: int) -> tuple[str, ...]:
    """Hypotheses by how far the answers are expected to move their shares."""
    table = model.checks[k]
    belief = state.weight[0] / state.weight[0].sum()
    joint = belief[:, None] * table.rows
    chance = joint.sum(axis=0)
    after = joint / np.where(chance > 0, chance, 1.0)
    moved = (np.abs(after - belief[:, None]) * chance).sum(axis=1)
    order = np.argsort(-moved, kind="stable")
    return tuple(model.ids[at] for at in order if moved[at] > TELLING)


def _after_check(model: Model, state: States, k: int) -> dict[str, Step]:
    table = model.checks[k]
    stop = Step("stop", table.check.refer or "")
    names = (*table.check.answer_ids(), NOT_SURE)
    return {
        name: stop if _stops(table, answer) else _step(model, after.revived())
        for name, (answer, _, after) in zip(names, _outcomes(model, state, k), strict=True)
    }
