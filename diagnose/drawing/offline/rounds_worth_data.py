"""What the page knows of a round with little time: the best parts of it, and what most pays to be looked at.

A phone has no planner, so both are worked out here, by what the card knows: for some lengths of time what
`--short` would choose at the prompt as the round begins, and the order of the tasks by `rounds.worth`. What
is told of the vehicle on the phone changes neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import ceil
from typing import Any

from diagnose.drawing.offline.tree_data import figure
from diagnose.reasoning.model import Model
from diagnose.rounds.shortest import Short, short
from diagnose.rounds.stakes import Stake
from diagnose.rounds.worth import Likely, Worth, ranked, saved_by
from diagnose.terms import NOT_LISTED, Answer, Place
from diagnose.terms.rounds import Round, Task

Values = dict[str, Any]

MINUTES = (30, 60, 90, 120, 180, 240)
"""Short rounds that are offered where they hold more than safety alone; a whole day is not short."""
TOLD = 3
"""So many tasks are told of, and so many causes of each."""
MATTERS = 1.5
"""A fact is told where it makes the likeliest cause so many times as likely."""


class WorthLooking:
    """What the trees and the cases counted in them say of a round's tasks."""

    def __init__(self, models: Mapping[str, Model], stakes: Mapping[str, Stake], years: float = 0.0) -> None:
        """`models` are those of the trees that tasks open, `years` the vehicle-years of their cases."""
        self._models, self._stakes, self._years = models, stakes, years

    def of(
        self, round: Round, there: Mapping[str, Task], facts: Mapping[str, str], wake_up: Round | None
    ) -> tuple[Worth, ...]:
        """The tasks that are there by falling minutes saved per minute spent."""
        others = wake_up.tasks if wake_up is not None and round.id in ("journey", "hand-over") else None
        return ranked(there, self._stakes, self._years, facts, others)

    def told(
        self, worths: Sequence[Worth], there: Mapping[str, Task], facts: Mapping[str, str]
    ) -> list[Values]:
        """The first few of them, with the causes behind the figures."""
        return [
            {
                "task": worth.task,
                "chance": figure(worth.chance),
                "saved": figure(worth.saved),
                "minutes": figure(there[worth.task].minutes),
                "cases": figure(worth.cases),
                "fromCases": figure(worth.from_cases),
                "causes": [self._says(each) for each in worth.likely if each.cause != NOT_LISTED][:TOLD],
                "since": self._since(worth.likely[0], facts),
            }
            for worth in worths[:TOLD]
            if worth.likely and worth.saved > 0
        ]

    def _says(self, likely: Likely) -> str:
        model = self._models[likely.tree]
        return model.hypotheses[model.index[likely.cause]].says

    def _since(self, likely: Likely, facts: Mapping[str, str]) -> list[Values]:
        """What is known of the vehicle that makes the likeliest cause more likely, and how many times."""
        stake, checks = self._stakes[likely.tree], self._models[likely.tree].tree.checks
        at = stake.causes.index(likely.cause)
        return [
            {"ask": checks[fact].ask, "answer": _answer(checks[fact].answers, answer), "times": figure(lift)}
            for fact, answer in facts.items()
            if (lift := stake.lifts.get(fact, {}).get(answer, (1.0,) * (at + 1))[at]) >= MATTERS
        ]


def _answer(answers: Sequence[Answer], id: str) -> str:
    return next((each.says for each in answers if each.id == id), id)


def shorts(
    round: Round, there: Mapping[str, Task], places: Mapping[str, Place], worths: Sequence[Worth]
) -> list[Values]:
    """The short rounds that are offered: safety alone first, each with its minutes and tasks in order."""
    left_out = round.tasks.keys() - there.keys()
    saved = saved_by(worths)

    def chosen(minutes: float) -> Short:
        return short(round.tasks, round.after, places, minutes, saved, left_out)

    return [
        {"minutes": minutes, "takes": figure(each.plan.minutes), "tasks": list(each.plan.order)}
        for minutes, each in _different(chosen, len(there))
    ]


def _different(chosen: Callable[[float], Short], count: int) -> Iterator[tuple[int, Short]]:
    """Each choice that has other tasks than the one before it, but for that of all tasks."""
    least = ceil(chosen(0).plan.minutes)
    before: frozenset[str] = frozenset()
    for minutes in (least, *(each for each in MINUTES if each > least)):
        known = chosen(minutes)
        tasks = frozenset(known.plan.order)
        if len(tasks) == count:
            return
        if tasks and tasks != before:
            yield minutes, known
        before = tasks
