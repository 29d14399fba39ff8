"""Refining what follows the question on the screen, for a walk that has left its route.

Nothing here knows a thread: whoever has time to spare while somebody reads hands in what begins a piece of
work and goes on at once. What is on the screen never changes for it. The better plans serve the steps that
follow; where none is ready yet, the walk is planned at once as ever. When a plan gets ready is chance, so a
walk writes each step that may have come of one into its journal (see `noting.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from diagnose.terms import Situation, Step

if TYPE_CHECKING:
    from diagnose.reasoning.model import Model
    from diagnose.reasoning.refining import RefinedPlan

GivenUp = Callable[[], bool]
"""Whether nobody waits for a piece of work any more."""
Meanwhile = Callable[[Callable[[GivenUp], None]], None]
"""Begins a piece of work and returns at once; a later piece takes the place of one that has not ended."""

MOST_KEPT = 12
"""Plans kept: those of the answers to the latest question or two."""


class Refinement:
    """The better plans of one walk, newest first."""

    def __init__(self, model: Callable[[bool], Model], meanwhile: Meanwhile) -> None:
        """`model` gives the tree as arrays; when called with True, without what restores the mains."""
        self._model, self._meanwhile = model, meanwhile
        # Written by one piece of work at a time, and only ever replaced as a whole.
        self._plans: tuple[tuple[bool, RefinedPlan], ...] = ()

    def worth_it(self, situation: Situation, starts: int, restored: bool) -> bool:
        """Whether more thought than planning at once takes may lead to a better step here."""
        from diagnose.reasoning.refining import may_be_refined

        return may_be_refined(self._model(restored), situation, starts)

    def begin(self, situation: Situation, step: Step, starts: int, restored: bool) -> None:
        """Begin to plan for every situation to which the answers to a step lead; returns at once."""
        self._meanwhile(lambda given_up: self._refine(situation, step, starts, restored, given_up))

    def step(self, situation: Situation, starts: int, restored: bool) -> Step | None:
        """The step of a better plan that is ready and that the walk is on, if safety allows it."""
        steps = (plan.step(situation, starts) for bare, plan in self._plans if bare == restored)
        return next((step for step in steps if step is not None), None)

    def _refine(
        self, situation: Situation, step: Step, starts: int, restored: bool, given_up: GivenUp
    ) -> None:
        from diagnose.reasoning.refining import refined_plan, situations_after

        model = self._model(restored)
        for after, used in situations_after(model, situation, step, starts):
            if given_up():
                return
            plans = [plan for bare, plan in self._plans if bare == restored]
            on = [plan for plan in plans if plan.reached(after, used) is not None]
            if any(plan.exact or plan.root == after for plan in on):
                continue
            made = refined_plan(model, after, used, in_hand=on)
            self._plans = ((restored, made), *self._plans)[:MOST_KEPT]
