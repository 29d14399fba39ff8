"""Why this step: the minutes that it saves, the causes that it tells apart, and where each answer leads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs
from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.exact import ExactPlan, exact_plan, table_size
from diagnose.reasoning.lookahead import check_values
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import MOST_AT_ONCE, planner_at_once
from diagnose.reasoning.states import States, state_of
from diagnose.terms import NOT_CURED, NOT_SURE, Situation, Step

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


def _cost(model: Model, state: States, exactly: bool) -> float:
    """Expected minutes to come from a state; both sides of a comparison have to be measured alike."""
    if exactly:
        return _exact(model, state).cost
    allow = allowed(model, state)
    closing = best_closing(model, state, allow).cost
    values = check_values(model, state, allow)
    return float(min(closing[0], values.min(initial=np.inf)))


def _saved_by_check(model: Model, state: States, k: int) -> float:
    exactly = table_size(model, state) <= MOST_AT_ONCE
    without = replace(state, asked=state.asked | (1 << k))
    return max(0.0, _cost(model, without, exactly) - _cost(model, state, exactly))


def _saved_by_remedy(model: Model, state: States, r: int) -> float:
    """Against the best other step to begin with: asking first, another remedy first, or ending at once."""
    if table_size(model, state) <= MOST_AT_ONCE:
        plan = _exact(model, state)
        return max(0.0, float(np.delete(plan.values, len(model.checks) + r).min()) - plan.cost)
    allow = allowed(model, state)
    last = model.referrals + (model.hand_overs if allow.hand_over[0] else 0)
    others = [float(ending_costs(model, state)[0, :last].min())]
    others += check_values(model, state, allow)[0].tolist()
    for other in np.flatnonzero(allow.remedies[0]):
        if other != r:
            table = model.remedies[other]
            way = float(access_minutes(model, table.places & ~state.reached)[0])
            after = state.after_remedy(model, int(other))
            # Costs scale with what is left of the belief, so that nothing is to come after a sure cure.
            to_come = _cost(model, after, exactly=False) if after.weight.any() else 0.0
            others.append(table.cost + way + to_come)
    return max(0.0, min(others) - _cost(model, state, exactly=False))


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
    found: dict[str, Step] = {}
    for answer, (id, stops) in enumerate(zip(table.check.answer_ids(), table.stops, strict=True)):
        found[id] = stop if stops else _step(model, state.after_check(model, k, answer).revived())
    found[NOT_SURE] = stop if table.first else _step(model, state.after_check(model, k, None))
    return found
