"""One exercise as it goes: what was chosen, what the vehicle said, what it cost, and what must not be.

Nothing can be taken back, as on a real vehicle. A forbidden act ends the step and not the exercise: it is
told, marked, and learned nothing from. Minutes and marks are kept apart, for no speed makes up for a mark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from diagnose.practising.choosing import Choice, choices
from diagnose.practising.exercise import Exercise
from diagnose.practising.valuing import Valued, first_pending, valued
from diagnose.practising.vehicle import Vehicle
from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.figures import Parts, places_of, spent_at
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.route import Route
from diagnose.reasoning.states import state_of, stop_in
from diagnose.terms import NOT_CURED, NOT_SURE, Check, Finding, Situation, Step
from diagnose.walking.past import SMELL_OF_GAS, remedy_hazards

Became = Literal["found", "cured", "not-cured", "trap", "barred", "handed-over", "stopped", "went-on"]
Mark = Literal["trap", "barred", "went-on", "dangers-left-out"]
Bar = Literal["tries", "restored", "refer"]
ENDS: tuple[Became, ...] = ("cured", "handed-over", "stopped", "went-on")


class CannotChoose(ValueError):
    """The choice has been made before, or the exercise is over."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One choice, and what became of it."""

    choice: Choice
    became: Became
    before: Situation
    """What was known when it was chosen; readings stand there as the bands that hold them."""
    spent: Parts = Parts()  # noqa: RUF009 - frozen
    finding: Finding | None = None
    worth: Valued | None = None
    """How it compares with the best that could be chosen; None for what is no step."""
    marks: tuple[Mark, ...] = ()
    bar: Bar | None = None
    """Which rule of safety bars it: starts used up, mains put back once, or only a referral is left."""
    smelt: Finding | None = None
    """What was found where hands were on the gas, so that gas was smelt for again before anything else."""
    shares: tuple[float, float] = (0.0, 0.0)
    """The share of the hidden fault before and after."""


@dataclass(slots=True)
class Practice:
    """An exercise in hand; `choose` and `name` are all that a learner can do."""

    exercise: Exercise
    route: Route
    titles: Mapping[str, str] = field(default_factory=dict)
    vehicle: Vehicle = field(init=False)
    """What answers; a trainer may put in one that says something else."""
    choices: tuple[Choice, ...] = field(init=False)
    turns: list[Turn] = field(default_factory=list)
    situation: Situation = field(default_factory=Situation)
    reached: int = 0
    """The bits of the places where somebody has been."""
    named: str | None = None
    """The fault that the learner names once it is over."""

    def __post_init__(self) -> None:
        self.vehicle = self.exercise.vehicle()
        self.choices = choices(self.exercise.model, self.exercise.seed, self.titles)

    @property
    def over(self) -> bool:
        """Whether an end has been reached."""
        return bool(self.turns) and self.turns[-1].became in ENDS

    @property
    def stop(self) -> str | None:
        """The referral of a danger answer, if one was given."""
        return stop_in(self.exercise.model, self.situation)

    def left(self) -> tuple[Choice, ...]:
        """What can still be chosen: nothing is asked, tried or fallen for twice."""
        chosen = {turn.choice.number for turn in self.turns}
        return () if self.over else tuple(each for each in self.choices if each.number not in chosen)

    def by_id(self, word: str) -> Choice | None:
        """The choice with this id, whether or not it is left."""
        return next((each for each in self.choices if each.id == word), None)

    def choose(self, choice: Choice) -> Turn:
        """Does what was chosen, and says what became of it. Raises CannotChoose."""
        if choice not in self.left():
            raise CannotChoose(choice.id)
        turn = self._turn(choice)
        self.turns.append(turn)
        return turn

    def spent(self) -> Parts:
        """Everything so far: cost in minutes, and hands-on, waiting and money apart."""
        total = Parts()
        for turn in self.turns:
            total += turn.spent
        return total

    def _turn(self, choice: Choice) -> Turn:
        if choice.trap is not None:
            return Turn(choice, "trap", self.situation, marks=("trap",))
        if self.stop is not None:
            return self._after_a_danger_answer(choice, self.stop)
        marks: tuple[Mark, ...] = ("dangers-left-out",) if self._leaves_dangers_out(choice) else ()
        if choice.kind == "stop":
            step = Step("referral", self.exercise.model.tree.refer_to)
            return replace(self._ending(choice, step, "stopped"), marks=marks)
        step = choice.step
        bar = self._bar(step)
        if bar is not None:
            return Turn(choice, "barred", self.situation, marks=(*marks, "barred"), bar=bar)
        if step.kind == "check":
            return replace(self._check(choice), marks=marks)
        if step.kind == "remedy":
            return replace(self._remedy(choice), marks=marks)
        return replace(self._ending(choice, step, "handed-over"), marks=marks)

    def _leaves_dangers_out(self, choice: Choice) -> bool:
        """Whether something else is done while a danger question is open: told once."""
        told = any("dangers-left-out" in turn.marks for turn in self.turns)
        harmless = choice.kind in ("referral", "stop") or choice.group == "dangers"
        return bool(first_pending(self.exercise.model, self.situation)) and not (told or harmless)

    def _bar(self, step: Step) -> Bar | None:
        """What bars a step, apart from danger questions that were left out: those are told by themselves."""
        model = self.exercise.model
        pending = first_pending(model, self.situation)
        if step.kind == "referral" or step.of in pending:
            return None
        passed = {id: Finding(id, _going_on(model.tree.checks[id])) for id in pending}
        situation = replace(self.situation, findings={**self.situation.findings, **passed})
        if step in allowed_steps(model, situation):
            return None
        state = state_of(model, situation)
        check = model.tree.checks[step.of] if step.kind == "check" else None
        starts = check.starts if check is not None else step.kind == "remedy"
        if starts and model.tree.tries is not None and state.starts[0] >= model.tree.tries:
            return "tries"
        restores = step.kind == "remedy" and model.hypotheses[model.index[step.of]].restores_mains
        if state.restored[0] and (restores or (check is not None and check.restores_mains)):
            return "restored"
        return "refer"

    def _after_a_danger_answer(self, choice: Choice, referral: str) -> Turn:
        """Only stopping is right; whatever else is chosen is not done, and the exercise ends there."""
        spent = self._cost(Step("stop", referral))
        if choice.kind == "stop" or (choice.kind == "referral" and choice.id == referral):
            return Turn(choice, "stopped", self.situation, spent)
        return Turn(choice, "went-on", self.situation, spent, marks=("went-on",))

    def _check(self, choice: Choice) -> Turn:
        before, spent = self.situation, self._cost(choice.step)
        worth = self._worth(choice.step)
        finding = self.vehicle.finding(choice.id)
        banded = Finding(finding.check, finding.answer)
        self.situation = replace(before, findings={**before.findings, choice.id: banded})
        self.reached |= places_of(self.exercise.model, choice.step)
        return Turn(choice, "found", before, spent, finding, worth, shares=self._shares(before))

    def _remedy(self, choice: Choice) -> Turn:
        before, spent = self.situation, self._cost(choice.step)
        worth = self._worth(choice.step)
        self.reached |= places_of(self.exercise.model, choice.step)
        smelt = self._smelt_after(choice.id)
        known = before if smelt is None else replace(before, findings={**before.findings, smelt.check: smelt})
        if stop_in(self.exercise.model, known) is None and self.vehicle.cures(choice.id):
            return Turn(choice, "cured", before, spent, worth=worth, smelt=smelt)
        self.situation = replace(known, tried={**before.tried, choice.id: NOT_CURED})
        shares = self._shares(before)
        return Turn(choice, "not-cured", before, spent, worth=worth, smelt=smelt, shares=shares)

    def _smelt_after(self, remedy: str) -> Finding | None:
        """After hands were on the gas it is smelt for again, as on a walk: of itself, and at no cost.

        No route reckons with these minutes, so they would be held against whoever did right.
        """
        tree = self.exercise.model.tree
        if SMELL_OF_GAS not in tree.checks or "gas" not in remedy_hazards(tree, remedy):
            return None
        return self.vehicle.again(SMELL_OF_GAS, remedy)

    def _ending(self, choice: Choice, step: Step, became: Became) -> Turn:
        return Turn(choice, became, self.situation, self._cost(step), worth=self._worth(step))

    def _cost(self, step: Step) -> Parts:
        """What a step costs on this very vehicle."""
        model = self.exercise.model
        return spent_at(model, step, np.eye(len(model.ids))[self.exercise.fault], self.reached)

    def _worth(self, step: Step) -> Valued:
        return valued(self.exercise.model, self.route, self.situation, step)

    def _shares(self, before: Situation) -> tuple[float, float]:
        model, fault = self.exercise.model, self.exercise.fault
        return float(posterior(model, before)[fault]), float(posterior(model, self.situation)[fault])


def _going_on(check: Check) -> str:
    """An answer that is no danger."""
    return next((id for id in check.answer_ids() if id not in check.stop_on), NOT_SURE)


def best_of(
    exercise: Exercise,
    route: Route,
    titles: Mapping[str, str] | None = None,
    vehicle: Vehicle | None = None,
) -> Practice:
    """The same exercise done by the compiled route, as its vehicle answers (or one that a trainer plays)."""
    practice = Practice(exercise, route, titles or {})
    practice.vehicle = vehicle or practice.vehicle
    at = route.start
    while True:
        node = route.nodes[at]
        if node.kind == "cured":
            return practice
        choice = practice.by_id("stop" if node.kind == "stop" else node.of)
        assert choice is not None, "every step of the route can be chosen"
        turn = practice.choose(choice)
        if practice.over:
            return practice
        if practice.stop is not None:
            stop = practice.by_id("stop")
            assert stop is not None, "to stop can always be chosen"
            practice.choose(stop)
            return practice
        answer = NOT_CURED if turn.finding is None else str(turn.finding.answer)
        at = node.edges[answer].to
