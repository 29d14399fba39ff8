"""How an exercise went: minutes beside the best route's on the same vehicle, marks, the costliest turn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.practising.practice import Mark, Practice, Turn, best_of
from diagnose.reasoning.figures import Parts, figures
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.why import why
from diagnose.terms import NOT_SURE, Situation, Step

Ended = Literal["cured", "handed-over", "stopped", "went-on", "left-off"]

WORTH_TELLING = 1.0
"""Minutes that a turn has to lose before it is told of."""
MISLEADING = 0.8
"""An answer misleads where it leaves the true fault less than so much of the share that it had."""


@dataclass(frozen=True, slots=True)
class Score:
    """What is told, and written down, of an exercise that is over."""

    practice: Practice
    ended: Ended
    found: bool | None
    """Whether the fault was found: cured, or named at the end. None where stopping was the right end."""
    spent: Parts
    best: Practice
    """The same vehicle along the compiled route."""
    expected: Parts
    """Of the route, over all vehicles with this symptom."""
    of_such: float
    """Expected minutes of the route over vehicles with this fault."""
    marks: tuple[Mark, ...]
    costliest: Turn | None
    """The turn that lost most, if it lost a minute or more."""
    misleading: tuple[Turn, ...]
    """Answers after which the true fault looked clearly less likely than before."""

    @property
    def traps(self) -> int:
        """How many marks there are for safety, of whatever kind."""
        return len(self.marks)


@dataclass(frozen=True, slots=True)
class Because:
    """Why one choice was worse than another, from what was known by then."""

    better: Step
    better_apart: tuple[str, ...]
    """The hypotheses that the better check would have told apart."""
    better_share: float
    """The share of the cause that the better remedy puts right."""
    chosen_apart: tuple[str, ...]
    chosen_share: float


def scored(practice: Practice) -> Score:
    """The score of an exercise as far as it went; costs one pass over the route."""
    model, route = practice.exercise.model, practice.route
    # To stop is never told as a wrong turn: nobody shall think twice about it.
    steps = [turn for turn in practice.turns if turn.choice.kind != "stop"]
    lost = [turn for turn in steps if turn.worth and turn.worth.regret >= WORTH_TELLING]
    return Score(
        practice=practice,
        ended=_ended(practice),
        found=_found(practice),
        spent=practice.spent(),
        best=best_of(practice.exercise, route, practice.titles, practice.vehicle),
        expected=figures(route, model).expected,
        of_such=float(cost_by_cause(route, model)[practice.exercise.fault]),
        marks=tuple(mark for turn in practice.turns for mark in turn.marks),
        costliest=max(lost, key=_regret, default=None),
        misleading=tuple(turn for turn in practice.turns if _misleads(turn)),
    )


def because(practice: Practice, turn: Turn) -> Because:
    """Why a turn lost minutes; of one that is no step ValueError is raised."""
    if turn.worth is None:
        raise ValueError("no step is compared here")
    better, chosen = turn.worth.better, turn.choice
    step = None if chosen.kind == "stop" else chosen.step
    better_apart, better_share = _what_it_tells(practice, turn.before, better)
    chosen_apart, chosen_share = ((), 0.0) if step is None else _what_it_tells(practice, turn.before, step)
    return Because(better, better_apart, better_share, chosen_apart, chosen_share)


def _what_it_tells(practice: Practice, known: Situation, step: Step) -> tuple[tuple[str, ...], float]:
    model = practice.exercise.model
    if step.kind == "check":
        return why(model, known, step).separates, 0.0
    if step.kind == "remedy":
        return (), float(posterior(model, known)[model.index[step.of]])
    return (), 0.0


def _regret(turn: Turn) -> float:
    return turn.worth.regret if turn.worth else 0.0


def _ended(practice: Practice) -> Ended:
    became = practice.turns[-1].became if practice.over else None
    if became == "cured" or became == "handed-over" or became == "stopped" or became == "went-on":
        return became
    return "left-off"


def _found(practice: Practice) -> bool | None:
    ended = _ended(practice)
    if ended == "stopped" and practice.stop is not None:
        return None
    return ended == "cured" or practice.named == practice.vehicle.fault_id


def _misleads(turn: Turn) -> bool:
    before, after = turn.shares
    answered = turn.finding is not None and turn.finding.answer != NOT_SURE
    return answered and turn.became == "found" and after < MISLEADING * before
