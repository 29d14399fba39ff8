"""What the fleet's own confirmed cases say for a task: how many of those after a lay-up were its causes.

Counted are this store's own confirmed cases of vehicles that had stood for three months or more, each once,
under the causes that the trees have today. Of `of` such cases `cases` were what the task keeps away (on a
lay-up: what it says that it prevents) or looks for (on a wake-up: what the trees are about that it opens).

Said is only what stands out. Of fewer than `FEWEST` cases nothing is said. A task stands out where its share
is above `USUAL` beyond chance: by the upper tail of the binomial law, adjusted for all tasks that were asked
(Benjamini & Hochberg 1995), at `LEVEL`. The interval told is Wilson's at 90 %. `FEWEST`, `USUAL` and `LEVEL`
are judgement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.knowledge.naming import says_of
from diagnose.reasoning.inference import Interval, above_a_share, controlled, share
from diagnose.rounds.worth import MONTHS
from diagnose.terms import Tree
from diagnose.terms.rounds import Round, Task

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore

FEWEST = 10
"""Confirmed cases after a lay-up, below which nothing is said."""
USUAL = 0.05
"""One case in twenty: what a task may have without anything being said of it."""
LEVEL = 0.05
STOOD = ("season", "long")
"""Bands of the months laid up that count: three months and more."""

Cases = Mapping[tuple[str, str], int]
"""(tree, cause, several joined by `+`) -> confirmed cases."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """What the cases say for one task."""

    task: str
    cases: int
    of: int
    share: Interval
    chance: float
    """Of so many cases or more, were its share the usual one; adjusted for all tasks that were asked."""
    prevents: bool
    """Whether the task keeps them away; else it looks for them."""

    most: tuple[str, str]
    """(tree, cause) of most of them."""

    @property
    def stands_out(self) -> bool:
        """Whether that is beyond chance."""
        return self.chance <= LEVEL

    def says(self, trees: Mapping[str, Tree]) -> str:
        """The reason in a sentence; `trees` have the causes in words."""
        what = "keeps away" if self.prevents else "looks for"
        tree = trees.get(self.most[0])
        first = says_of(tree, self.most[1]) if tree is not None else ""
        named = f', most of all "{first.rstrip(".")}"' if first else ""
        low, high = 100 * self.share.low, 100 * self.share.high
        return (
            f"In this fleet {self.cases} of {self.of} confirmed cases after three months or more of lay-up "
            f"were what this {what}{named} ({low:.0f} to {high:.0f} % of such cases, 90 % interval)."
        )


def cases_after_a_lay_up(store: CaseStore, trees: Callable[[], Mapping[str, Tree]]) -> Cases:
    """This store's confirmed cases of vehicles that had stood for three months or more.

    `trees` are asked for only where there are cases enough to say something.
    """
    from diagnose.cases.counting import causes_met
    from diagnose.cases.counting_answers import by_answer
    from diagnose.cases.selecting import Wanted
    from diagnose.reasoning.past_causes import Causes

    with store.reading() as connection:
        found = by_answer(connection, Wanted(), {}, MONTHS)
        if sum(number for (_, _, answer), number in found.items() if answer in STOOD) >= FEWEST:
            found = by_answer(connection, Wanted(), Causes(trees(), causes_met(connection)).today, MONTHS)
    cases = Counter[tuple[str, str]]()
    for (symptom, cause, answer), number in found.items():
        if answer in STOOD:
            cases[symptom, cause] += number
    return cases


def spoken_for(round: Round, cases: Cases) -> dict[str, Spoken]:
    """What the cases say for each task of a round that stands out; nothing of a few cases."""
    of = sum(cases.values())
    if of < FEWEST:
        return {}
    asked = [task for task in round.tasks.values() if task.prevents or task.opens]
    hits = [sum(n for at, n in cases.items() if _is_about(task, *at)) for task in asked]
    chances = controlled([above_a_share(number, of, USUAL) for number in hits])
    told = [
        Spoken(task.id, number, of, share(number, of), chance, bool(task.prevents), _most(task, cases))
        for task, number, chance in zip(asked, hits, chances, strict=True)
    ]
    return {each.task: each for each in told if each.stands_out}


def _most(task: Task, cases: Cases) -> tuple[str, str]:
    """The cause of most cases that the task is about; the first in the alphabet of equal ones."""
    about = sorted(at for at in cases if _is_about(task, *at))
    return max(about, key=lambda at: cases[at], default=("", ""))


def _is_about(task: Task, symptom: str, cause: str) -> bool:
    if not task.prevents:
        return symptom in task.opens
    kept: Collection[str] = task.prevents.get(symptom, ())
    return any(part in kept for part in cause.split("+"))
