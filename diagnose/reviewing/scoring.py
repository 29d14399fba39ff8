"""How good the ranking has been on a store's own past: every case scored before it was learned from.

Cases are taken in the order of their confirmation. Each is foreseen from the tree's file as it is today and
from the cases before it, weighed by how each ending's outcomes had come back by then, as the ranking weighs
them; and beside that from the file alone. A case counts as over from when it was opened, since a store keeps
no history of states.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.confirmed import (
    ConfirmedCase,
    FromElsewhere,
    cases_over,
    confirmed_in_order,
    confirmed_number,
    merged_sums,
)
from diagnose.cases.store import CaseStore
from diagnose.reasoning.learning import Return, returns
from diagnose.reviewing.figures import (
    Columns,
    Course,
    Figures,
    columns_of,
    course_of,
    figures_of,
    joined,
)
from diagnose.reviewing.history import Group, TreeHistory, group_of
from diagnose.terms import DiagnoseError, EndedCases, Settings, Tally, Tree

if TYPE_CHECKING:
    from sqlalchemy import Connection

Array = NDArray[np.float64]
Over = Mapping[str, Mapping[Group, Array]]
"""Symptom -> group -> when its cases that are over were opened."""
Reason = Literal["no-tree", "no-place"]


@dataclass(frozen=True, slots=True)
class TreeScores:
    """The scores of one tree."""

    symptom: str
    says: str
    figures: Figures
    returns: tuple[Return, ...]
    """How many cases ended in each way, how many were confirmed, and what one of them weighs."""
    earlier_file: int
    """How many of the scored cases were walked with an earlier version of the file."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Confirmed cases that cannot be scored."""

    symptom: str
    cause: str
    """Their cause where the tree has it no more, else empty."""
    cases: int
    reason: Reason
    told: str = ""
    """What was wrong with the tree."""


@dataclass(frozen=True, slots=True)
class Review:
    """What scoring the past came to."""

    since: datetime | None
    overall: Figures | None
    """None where there is no case to score."""
    course: tuple[Course, ...]
    trees: tuple[TreeScores, ...]
    """Those with the most cases first."""
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be scored, and with what."""

    tree_of: Callable[[str], Tree]
    """Raises DiagnoseError where a symptom's tree is not at hand, or flawed."""
    settings: Settings = Settings()  # noqa: RUF009 - frozen
    symptoms: tuple[str, ...] = ()
    """None means all."""
    since: datetime | None = None
    """Cases confirmed before are learned from and not scored."""
    other_trees: frozenset[str] = frozenset()
    """Those that a walk may be handed over to."""
    cache: Path | None = None
    """Where compiled routes are kept."""


@dataclass(slots=True)
class _Book:
    """One tree while its cases come in."""

    history: TreeHistory
    parts: list[Columns] = field(default_factory=list)
    confirmed: Counter[str] = field(default_factory=Counter)
    """By ending."""
    earlier_file: int = 0


def review(
    store: CaseStore, wanted: Wanted, progress: Callable[[int, int], None] = lambda done, of: None
) -> Review:
    """The scores of a store's past. `progress` is told how many of how many cases are done.

    Work grows in proportion to the number of cases; memory holds some figures of each, and no journal longer
    than it is looked at.
    """
    with store.reading() as connection:
        past = _Past(connection, wanted)
        number = confirmed_number(connection, wanted.symptoms)
        for done, case in enumerate(confirmed_in_order(connection, wanted.symptoms), start=1):
            past.take(case)
            progress(done, number)
    past.rest()
    return past.review()


class _Past:
    """The trees' books, case by case."""

    def __init__(self, connection: Connection, wanted: Wanted) -> None:
        self._wanted = wanted
        self._over = _by_group(connection, wanted)
        self._to_come = list(merged_sums(connection, wanted.symptoms))
        self._come: list[FromElsewhere] = []
        self._books: dict[str, _Book] = {}
        self._out: Counter[tuple[str, str, Reason]] = Counter()
        self._told: dict[str, str] = {}
        self._scored = 0

    def take(self, case: ConfirmedCase) -> None:
        """One more case, confirmed after all those before."""
        while self._to_come and self._to_come[0].received <= case.on:
            self._merge(self._to_come.pop(0))
        record = case.record
        book = self._book(record.symptom)
        if book is None:
            self._out[record.symptom, "", "no-tree"] += 1
            return
        if not book.history.has_place_for(record.cause):
            self._out[record.symptom, record.cause, "no-place"] += 1
            return
        book.confirmed[record.state] += 1
        place = None
        if self._wanted.since is None or case.on >= self._wanted.since:
            place, self._scored = self._scored, self._scored + 1
            book.earlier_file += record.tree_digest not in ("", book.history.tree.digest)
        if (said := book.history.take(case, place)) is not None:
            book.parts.append(columns_of(said))

    def rest(self) -> None:
        """After the last case."""
        for book in self._books.values():
            if (said := book.history.rest()) is not None:
                book.parts.append(columns_of(said))

    def review(self) -> Review:
        """The scores, once all cases were taken."""
        trees, columns, weights = [], [], []
        for symptom, book in self._books.items():
            if not book.parts:
                continue
            told = self._returns(symptom, book)
            columns.append(joined(book.parts))
            weights.append(_weights(told, columns[-1].endings))
            figures = figures_of(columns[-1], weights[-1])
            tree = book.history.tree
            trees.append(TreeScores(tree.id, tree.symptom, figures, told, book.earlier_file))
        every, counts = (joined(columns), np.concatenate(weights)) if columns else (None, np.zeros(0))
        return Review(
            since=self._wanted.since,
            overall=figures_of(every, counts) if every is not None else None,
            course=course_of(every, counts) if every is not None else (),
            trees=tuple(sorted(trees, key=lambda each: (-each.figures.cases, each.symptom))),
            left_out=tuple(self._left_out()),
        )

    def _merge(self, sums: FromElsewhere) -> None:
        self.rest()
        self._come.append(sums)
        for book in self._books.values():
            book.history.add(sums)

    def _book(self, symptom: str) -> _Book | None:
        if symptom not in self._books and symptom not in self._told:
            wanted = self._wanted
            try:
                tree = wanted.tree_of(symptom)
                history = TreeHistory(
                    tree, wanted.settings, self._over.get(symptom, {}), wanted.other_trees, wanted.cache
                )
            except DiagnoseError as error:
                self._told[symptom] = str(error)
                return None
            for sums in self._come:
                history.add(sums)
            self._books[symptom] = _Book(history)
        return self._books.get(symptom)

    def _returns(self, symptom: str, book: _Book) -> tuple[Return, ...]:
        over: Counter[str] = Counter()
        for (ending, _), moments in self._over.get(symptom, {}).items():
            over[ending] += len(moments)
        return returns(
            Tally(
                endings={
                    ending: EndedCases(max(over[ending], book.confirmed[ending]), book.confirmed[ending])
                    for ending in {*over, *book.confirmed}
                }
            )
        )

    def _left_out(self) -> Iterator[LeftOut]:
        for (symptom, cause, reason), cases in sorted(self._out.items()):
            yield LeftOut(symptom, cause, cases, reason, self._told.get(symptom, ""))


def _by_group(connection: Connection, wanted: Wanted) -> Over:
    moments: defaultdict[str, defaultdict[Group, list[float]]] = defaultdict(lambda: defaultdict(list))
    for case in cases_over(connection, wanted.symptoms):
        group = group_of(case.ending, case.opened.year, wanted.settings)
        moments[case.symptom][group].append(case.opened.timestamp())
    return {
        symptom: {group: np.array(times) for group, times in groups.items()}
        for symptom, groups in moments.items()
    }


def _weights(told: Sequence[Return], endings: Sequence[str]) -> Array:
    """How many cases each scored one stands for: by its ending, and together as many as were over."""
    heard = [each for each in told if each.weight > 0]
    scale = sum(each.ended for each in heard) / sum(each.weight * each.confirmed for each in heard)
    weight = {each.ending: each.weight * scale for each in heard}
    return np.array([weight[ending] for ending in endings])
