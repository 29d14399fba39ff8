"""The cases of a replay as they come in, and the comparison in the end.

No journal is kept: of each case stay its number, its cause, and which case with the same findings, cause and
ending it is like; of each of those three figures for each tree.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.confirmed import ConfirmedCase
from diagnose.cases.records import CaseRecord
from diagnose.reasoning.scores import SMALLEST_SHOWN
from diagnose.revising.paired import paired
from diagnose.revising.replaying_found import OneSide, Replay, Worse
from diagnose.revising.replaying_shares import Group
from diagnose.revising.replaying_side import Said, Side
from diagnose.terms import NOT_LISTED, Role, Tally

Array = NDArray[np.float64]

AT_ONCE = 1024
"""Cases with different findings that are sent along a route together."""
CLEAR_LOSS = 0.1
"""A log loss that differs by less is no clear difference: the share moved by less than a tenth of itself."""
CLEAR_RANK = 1.0
CLEAR_MINUTES = 1.0
COLUMNS = ("loss", "rank", "minutes")


@dataclass(slots=True, eq=False)
class _Column:
    """One tree's figures, one of each for every different case."""

    side: Side
    loss: array[float] = field(default_factory=lambda: array("d"))
    rank: array[float] = field(default_factory=lambda: array("d"))
    minutes: array[float] = field(default_factory=lambda: array("d"))
    waiting: list[Said] = field(default_factory=list)
    weighed: array[int] = field(default_factory=lambda: array("b"))

    def take(self, said: Said) -> None:
        """One more different case; its minutes are reckoned with those of others."""
        self.waiting.append(said)
        self.loss.append(float(-np.log(max(said.share, SMALLEST_SHOWN))))
        self.rank.append(said.rank)

    def reckon(self, roles: Sequence[Role]) -> None:
        """The minutes of all that waits."""
        minutes, weighed = self.side.minutes([each.known for each in self.waiting], roles)
        self.minutes.extend(minutes.tolist())
        self.weighed.extend(weighed.astype(int).tolist())
        self.waiting.clear()


class Book:
    """The cases of one replay as they come in: of each is kept its number, and which one it is like."""

    def __init__(self, old: Side, new: Side, counts: Callable[[int], float]) -> None:
        self._columns = (_Column(old), _Column(new))
        self._counts = counts
        self._place: dict[bytes, int] = {}
        self._kinds: dict[tuple[tuple[str, ...], ...], int] = {}
        self._kind_of: array[int] = array("l")
        self._roles: list[Role] = []
        self._numbers: array[int] = array("q")
        self._like: array[int] = array("l")
        self._causes: list[str] = []
        self._cause_of: array[int] = array("l")
        self._cause_index: dict[str, int] = {}
        self._out: Counter[str] = Counter()

    def learn(self, tally: Tally) -> None:
        """Gives both trees the sums of all cases."""
        for one, other in (self._columns, self._columns[::-1]):
            known = [cause for cause in _causes(tally) if other.side.has_place_for(cause)]
            one.side.learn(tally, known)

    def take(self, case: ConfirmedCase) -> None:
        """One more case; nothing is kept of its journal once it is reckoned."""
        record = case.record
        old, new = (column.side for column in self._columns)
        if not old.has_place_for(record.cause) and not new.has_place_for(record.cause):
            self._out[record.cause] += 1
            return
        group = (record.state, self._counts(record.opened.year))
        key = _key(record, group)
        place = self._place.get(key)
        if place is None:
            place = self._place[key] = len(self._roles)
            self._reckoned(record, group)
        self._numbers.append(record.case)
        self._like.append(place)
        self._cause_of.append(self._index_of(record.cause))

    def _reckoned(self, record: CaseRecord, group: Group) -> None:
        both = [column.side.said(record, group) for column in self._columns]
        for column, said in zip(self._columns, both, strict=True):
            column.take(said)
        note = tuple(said.not_asked for said in both)
        self._kind_of.append(self._kinds.setdefault(note, len(self._kinds)))
        self._roles.append(record.role)
        if len(self._columns[0].waiting) >= AT_ONCE:
            self._reckon()

    def _reckon(self) -> None:
        waiting = len(self._columns[0].waiting)
        for column in self._columns:
            if waiting:
                column.reckon(self._roles[-waiting:])

    def _index_of(self, cause: str) -> int:
        if cause not in self._cause_index:
            self._cause_index[cause] = len(self._causes)
            self._causes.append(cause)
        return self._cause_index[cause]

    def told(self, counted: int | None) -> Replay:
        """The comparison, once all cases were taken; `counted` is how many are learned from, where known."""
        self._reckon()
        like = np.array(self._like, dtype=np.intp)
        figures = {
            name: (_of_all(self._columns[0], name, like), _of_all(self._columns[1], name, like))
            for name in COLUMNS
        }
        number = len(like)
        clear = dict(zip(COLUMNS, (CLEAR_LOSS, CLEAR_RANK, CLEAR_MINUTES), strict=True))
        compared = {name: paired(*figures[name], clear[name]) if number else None for name in COLUMNS}
        causes = np.array(self._cause_of, dtype=np.intp)
        not_listed = self._cause_index.get(NOT_LISTED, -1)
        old, new = (column.side for column in self._columns)
        return Replay(
            old=self._one_side(0, like, causes),
            new=self._one_side(1, like, causes),
            cases=number,
            different=len(self._roles),
            worse=self._worse(figures),
            left_out=tuple(self._out.most_common()),
            not_listed=int((causes == not_listed).sum()),
            new_causes=tuple(
                "+".join(causes) for causes in new.tree.cut_sets if not old.has_place_for("+".join(causes))
            ),
            merged=max(0, counted - number - self._out.total()) if counted is not None else 0,
            **compared,
        )

    def _one_side(self, at: int, like: NDArray[np.intp], causes: NDArray[np.intp]) -> OneSide:
        column = self._columns[at]
        kinds = np.bincount(np.array(self._kind_of, dtype=np.intp)[like], minlength=len(self._kinds))
        not_asked: Counter[str] = Counter()
        cases_not_asked = 0
        for note, place in self._kinds.items():
            cases_not_asked += int(kinds[place]) if note[at] else 0
            not_asked.update({id: int(kinds[place]) for id in note[at]})
        by_cause = np.bincount(causes, minlength=len(self._causes))
        unlisted = {
            cause: int(by_cause[place])
            for cause, place in self._cause_index.items()
            if not column.side.has_place_for(cause)
        }
        return OneSide(
            not_asked=tuple(not_asked.most_common()),
            cases_not_asked=cases_not_asked,
            unlisted=tuple(sorted(unlisted.items(), key=lambda each: (-each[1], each[0]))),
            weighed=int(np.array(column.weighed, dtype=int)[like].sum()),
        )

    def _worse(self, figures: dict[str, tuple[Array, Array]]) -> tuple[Worse, ...]:
        loss, minutes = (new - old for old, new in (figures["loss"], figures["minutes"]))
        lines = np.flatnonzero((loss >= CLEAR_LOSS) | (minutes >= CLEAR_MINUTES))
        heavy = np.maximum(loss / CLEAR_LOSS, minutes / CLEAR_MINUTES)[lines].round(6)
        order = lines[np.argsort(-heavy, kind="stable")]
        rank = figures["rank"]
        return tuple(
            Worse(
                case=self._numbers[line],
                cause=self._causes[self._cause_of[line]],
                old_loss=float(figures["loss"][0][line]),
                new_loss=float(figures["loss"][1][line]),
                old_rank=int(rank[0][line]),
                new_rank=int(rank[1][line]),
                old_minutes=float(figures["minutes"][0][line]),
                new_minutes=float(figures["minutes"][1][line]),
            )
            for line in order.tolist()
        )


def _of_all(column: _Column, name: str, like: NDArray[np.intp]) -> Array:
    """One figure of every case, from those of the different ones."""
    return np.asarray(np.array(getattr(column, name), dtype=float)[like])


def _causes(tally: Tally) -> list[str]:
    """Every confirmed cause in the sums."""
    return sorted({*tally.causes, *(cause for cause, _, _ in tally.answers)})


def _key(record: CaseRecord, group: Group) -> bytes:
    """The same for cases of which nothing is different that a tree could see."""
    lines = [(line.kind, line.subject, line.answer, line.value, line.uncertainty) for line in record.entries]
    seen = repr((record.cause, record.role, group, lines))
    return blake2b(seen.encode(), digest_size=16).digest()
