"""The confirmed cases that may go into a tree file: those of this store that have not gone into it before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from diagnose.cases.confirmed import cases_over, confirmed_in_order
from diagnose.cases.counting import confirmed_elsewhere
from diagnose.cases.journal import counted_answers
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import OVER, weight
from diagnose.terms import EndedCases, Settings, Tally, Tree

Answered = tuple[str, str, str]
Key = TypeVar("Key", str, Answered)
Sums = defaultdict[str, float]


@dataclass(frozen=True, slots=True)
class ToLearn:
    """What a file can learn from a store."""

    tally: Tally
    cases: int
    up_to: datetime | None
    """When the last of them was confirmed; None where there is none."""
    before: int
    """Cases of this store that were confirmed before, and have gone into the file already."""
    elsewhere: int
    """Cases in the sums of other workshops: without a date they could go in twice, so they are left out."""


def to_learn(
    store: CaseStore, tree: Tree, settings: Settings, now: datetime, after: datetime | None
) -> ToLearn:
    """The sums of all cases that were confirmed after a moment (None: of all), under the ids of then.

    Cases that nobody has confirmed count for the rates of return where they were opened after that moment.
    Work: every confirmed case of the symptom once.
    """
    causes: defaultdict[str, Sums] = defaultdict(_none)
    answers: defaultdict[str, defaultdict[Answered, float]] = defaultdict(lambda: defaultdict(float))
    confirmed, over, told_over = _none(), _none(), _none()
    cases, before, last = 0, 0, None
    with store.reading() as connection:
        for case in confirmed_in_order(connection, (tree.id,)):
            record = case.record
            count = weight(record.opened.year, now, settings.half_life)
            if record.state in OVER and (after is None or record.opened > after):
                told_over[record.state] += count
            if after is not None and case.on <= after:
                before += 1
                continue
            cases, last = cases + 1, case.on
            confirmed[record.state] += count
            causes[record.state][record.cause] += count
            for check, answer in counted_answers(record.entries).items():
                answers[record.state][record.cause, check, answer] += count
        for each in cases_over(connection, (tree.id,)):
            if after is None or each.opened > after:
                over[each.ending] += weight(each.opened.year, now, settings.half_life)
        elsewhere = confirmed_elsewhere(connection, tree.id)
    endings = {
        ending: EndedCases(
            ended=confirmed[ending] + max(0.0, over[ending] - told_over[ending]),
            confirmed=confirmed[ending],
            causes=dict(causes[ending]),
            answers=dict(answers[ending]),
        )
        for ending in sorted({*confirmed, *over})
    }
    tally = Tally(_added(causes), _added(answers), endings)
    return ToLearn(tally, cases, last, before, elsewhere)


def _none() -> Sums:
    return defaultdict(float)


def _added(by_ending: Mapping[str, Mapping[Key, float]]) -> dict[Key, float]:
    """The sums over all endings."""
    total: defaultdict[Key, float] = defaultdict(float)
    for sums in by_ending.values():
        for key, count in sums.items():
            total[key] += count
    return dict(sorted(total.items()))
