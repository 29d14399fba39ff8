"""Better plans for the situations that a walk may come to next, made while its question is being read.

A walk that has left its route is planned at once, by look-ahead where tables would take too long. The
question on the screen then stands, so what can still be planned better is what follows each of its answers:
from there exactly where that is affordable, else by search. Of the plans from one situation the one that
costs least counts, and planning each step at once is always among them, as is a plan that was followed so
far: no refined plan is dearer than going on as before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import allowed, allowed_steps
from diagnose.reasoning.closing import access_minutes, best_closing, ending_costs
from diagnose.reasoning.decisions import step_of
from diagnose.reasoning.exact import ExactPlan, table_size
from diagnose.reasoning.model import Model
from diagnose.reasoning.planning import MOST_AT_ONCE, Planner, planner_at_once, planners_from
from diagnose.reasoning.states import States, joined, state_of
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Situation, Step

Array = NDArray[np.float64]

IMPROBABLE = 1e-4
"""A branch that is come by less often is costed as closing, as a route does."""


@dataclass(frozen=True, slots=True, eq=False)
class RefinedPlan:
    """A plan from one situation on, followed as long as the walk does what it says."""

    model: Model
    root: Situation
    state: States
    """The state that the root amounts to (a batch of one)."""
    planner: Planner

    @property
    def exact(self) -> bool:
        """Whether nothing can be better."""
        return isinstance(self.planner, ExactPlan)

    def step(self, situation: Situation, starts: int = 0) -> Step | None:
        """The plan's step in a situation; None where the walk is not on it, or safety does not allow it.

        `starts` is how many tries are used up in all.
        """
        state = self.reached(situation, starts)
        if state is None:
            return None
        step = self._step(state)
        return step if step in allowed_steps(self.model, situation, starts) else None

    def reached(self, situation: Situation, starts: int = 0) -> States | None:
        """The state to which the plan's own steps lead with what was found since its root, or None."""
        found, tried = dict(situation.findings), dict(situation.tried)
        if any(found.pop(id, None) != finding for id, finding in self.root.findings.items()):
            return None
        if any(tried.pop(id, None) != became for id, became in self.root.tried.items()):
            return None
        state = self.state
        while found or tried:
            step = self._step(state)
            finding = found.pop(step.of, None) if step.kind == "check" else None
            became = tried.pop(step.of, None) if step.kind == "remedy" else None
            if finding is not None and finding.value is None:
                state = self._answered(state, finding)
            elif became == NOT_CURED:
                state = state.after_remedy(self.model, self.model.remedy_index[step.of])
            else:
                return None
            if not state.weight.any():
                return None
        return state if starts <= int(state.starts[0]) else None

    def _step(self, state: States) -> Step:
        return step_of(self.model, int(self.planner.decide(state)[0]))

    def _answered(self, state: States, finding: Finding) -> States:
        k = self.model.check_index[finding.check]
        if finding.answer == NOT_SURE or finding.answer is None:
            return state.after_check(self.model, k, None)
        answer = self.model.checks[k].check.answer_ids().index(finding.answer)
        return state.after_check(self.model, k, answer)


def may_be_refined(model: Model, situation: Situation, starts: int = 0) -> bool:
    """Whether planning at once is by look-ahead here, so that more thought may come to something better."""
    return table_size(model, state_of(model, situation, starts)) > MOST_AT_ONCE


def refined_plan(
    model: Model, situation: Situation, starts: int = 0, in_hand: Sequence[RefinedPlan] = ()
) -> RefinedPlan:
    """The best plan from a situation that seconds are enough for: a tenth to two of them.

    Plans `in_hand` that the walk is on there are kept to where nothing better is found.
    """
    root = state_of(model, situation, starts)
    planners = planners_from(model, root)
    made = [RefinedPlan(model, situation, root, planner) for planner in planners]
    if any(plan.exact for plan in made):
        return next(plan for plan in made if plan.exact)
    at_once = planner_at_once(model, root)
    if type(at_once) not in map(type, planners):
        made.append(RefinedPlan(model, situation, root, at_once))
    for plan in in_hand:
        reached = plan.reached(situation, starts)
        if reached is not None:
            made.append(replace(plan, root=situation, state=reached))
    return min(made, key=lambda plan: expected_minutes(model, plan.planner, plan.state))


def situations_after(
    model: Model, situation: Situation, step: Step, starts: int = 0
) -> tuple[tuple[Situation, int], ...]:
    """What each answer to a step that does not stop the walk leads to, likeliest first, with the tries used.

    That a remedy could not be done comes last: nothing says how often that is so.
    """
    if step.kind == "remedy" and step.of in model.remedy_index:
        failed, left = (
            Situation(situation.findings, {**situation.tried, step.of: became})
            for became in (NOT_CURED, COULD_NOT)
        )
        return (failed, starts + 1), (left, starts)
    if step.kind != "check" or step.of not in model.check_index:
        return ()
    table = model.checks[model.check_index[step.of]]
    unsure = table.check.not_sure
    belief = state_of(model, situation, starts).normalised().weight[0]
    chances = dict(zip(table.check.answer_ids(), (1 - unsure) * (belief @ table.rows), strict=True))
    going_on = {id: chances[id] for id, stops in zip(chances, table.stops, strict=True) if not stops}
    if not table.first:
        going_on[NOT_SURE] = unsure
    return tuple(
        (
            Situation({**situation.findings, step.of: Finding(step.of, answer)}, situation.tried),
            starts + int(table.check.starts),
        )
        for answer, chance in sorted(going_on.items(), key=lambda each: -each[1])
        if chance > 0
    )


def expected_minutes(model: Model, planner: Planner, root: States) -> float:
    """What following a planner from a root (a batch of one) is expected to cost, improbable branches closing.

    Work: the planner's for every path that is not improbable.
    """
    total = 0.0
    states = root.normalised()
    while len(states):
        mass = states.weight.sum(axis=1)
        rare = states.take(mass < IMPROBABLE)
        if len(rare):
            total += float(best_closing(model, rare, allowed(model, rare)).cost.sum())
            states = states.take(mass >= IMPROBABLE)
            if not len(states):
                break
        codes = planner.decide(states)
        onward: list[States] = []
        for code in np.unique(codes):
            spent, after = _taken(model, states.take(codes == code), int(code))
            total += spent
            onward += after
        if not onward:
            break
        every = joined(onward)
        states = every.take(every.weight.sum(axis=1) > 0)
    return total


def _taken(model: Model, here: States, code: int) -> tuple[float, list[States]]:
    """One step in each of some states: what it costs and the stops it comes to, times mass; what goes on."""
    mass = here.weight.sum(axis=1)
    if code < len(model.checks):
        return _asked(model, here, code, mass)
    code -= len(model.checks)
    if code < len(model.remedies):
        remedy = model.remedies[code]
        way = access_minutes(model, remedy.places & ~here.reached)
        return float(mass @ (remedy.cost + way)), [here.after_remedy(model, code)]
    return float(ending_costs(model, here)[:, code - len(model.remedies)].sum()), []


def _asked(model: Model, here: States, k: int, mass: Array) -> tuple[float, list[States]]:
    table = model.checks[k]
    unsure = table.check.not_sure
    spent = float(mass @ (table.cost + access_minutes(model, table.places & ~here.reached)))
    answers = [(answer, 1 - unsure, stops) for answer, stops in enumerate(table.stops)]
    onward: list[States] = []
    for answer, chance, stops in [*answers, (None, unsure, table.first)]:
        after = here.after_check(model, k, answer)
        after = replace(after, weight=after.weight * chance)
        if stops:
            spent += float(ending_costs(model, after)[:, table.stop_referral].sum())
        else:
            onward.append(after)
    return spent, onward
