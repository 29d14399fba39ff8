"""One tree's past as it is scored: each confirmed case foreseen from those before it, then learned from.

Cases are made numbers one by one as they come from the store, and foreseen some hundred at a time: no journal
is kept longer than it is looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.confirmed import ConfirmedCase, FromElsewhere
from diagnose.cases.sums import OVER, weight
from diagnose.reasoning.model import Model, build_model
from diagnose.reasoning.scores import Predicted
from diagnose.reviewing.foresight import NOTHING, Block, Foreseen, Foresight
from diagnose.reviewing.numbering import NumberedCase, Numbering
from diagnose.reviewing.walked_minutes import minutes_by_cause
from diagnose.terms import Role, Settings, Tree

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Group = tuple[str, int]
"""(ending, year); the year is 0 where the age of a case makes no difference."""

AT_ONCE = 256
"""Cases that are foreseen together."""


def group_of(ending: str, year: int, settings: Settings) -> Group:
    """The group of a case that was opened in that year."""
    return ending, 0 if settings.half_life is None else year


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """Some scored cases of one tree: what was said of each, what it was, and what it cost."""

    places: Ints
    """The place of each among all scored cases, in the order of their confirmation."""
    learned: Predicted
    """By the file and the cases before."""
    by_file: Predicted
    """By the file alone."""
    endings: tuple[str, ...]
    expected: Array
    """Minutes that the file's route let expect at the shares learned by then; NaN where none was walked."""
    expected_by_file: Array
    """The same at the file's own shares."""
    walked: Array
    """Minutes of the steps that were taken."""


@dataclass(slots=True, eq=False)
class TreeHistory:
    """The past of one tree. `over` are the moments at which its cases that are over were opened, by group."""

    tree: Tree
    settings: Settings
    over: Mapping[Group, Array]
    other_trees: frozenset[str] = frozenset()
    cache: Path | None = None
    _waiting: list[tuple[NumberedCase, int | None]] = field(default_factory=list)
    _groups: dict[Group, int] = field(default_factory=dict)
    _elsewhere: dict[Group, float] = field(default_factory=dict)
    _minutes: dict[Role, Array | None] = field(default_factory=dict)
    _model: Model = field(init=False)
    _numbering: Numbering = field(init=False)
    _foresight: Foresight = field(init=False)

    def __post_init__(self) -> None:
        """Makes the arrays of the file; raises TreeTooLarge."""
        self._model = build_model(self.tree, "technician", self.settings, other_trees=self.other_trees)
        self._numbering = Numbering(self._model)
        self._foresight = Foresight(self._model)
        for group in self.over:
            self._group(group)

    def has_place_for(self, cause: str) -> bool:
        """Whether the tree of today has a cause that was confirmed."""
        return self._numbering.cause(cause) is not None

    def take(self, case: ConfirmedCase, place: int | None) -> Said | None:
        """Takes the next case, whose cause has a place; `place` is None for one that is only learned from.

        Gives what was said of it and of those before, once there are many.
        """
        truth = self._numbering.cause(case.record.cause)
        assert truth is not None
        self._waiting.append((self._numbering.numbered(case, truth), place))
        return self.rest() if len(self._waiting) >= AT_ONCE else None

    def rest(self) -> Said | None:
        """What was said of the cases still waiting, None where none is scored; all are learned from."""
        waiting, self._waiting = self._waiting, []
        if not waiting:
            return None
        cases = [each for each, _ in waiting]
        foreseen = self._foresight.foresee(self._block(cases))
        lines = np.array(
            [line for line, (_, place) in enumerate(waiting) if place is not None], dtype=np.intp
        )
        places = np.array([place for _, place in waiting if place is not None], dtype=np.intp)
        return self._said(places, [cases[line] for line in lines], foreseen, lines) if len(lines) else None

    def add(self, sums: FromElsewhere) -> None:
        """Counts what another store knows of this symptom, from now on; call `rest` before."""
        for symptom, cause, year, ending, total in sums.causes:
            if symptom == self.tree.id:
                group = self._told_elsewhere(ending, year, total)
                if (at := self._numbering.cause(cause)) is not None:
                    self._foresight.add(group, {at: total}, {})
        for symptom, cause, check, answer, year, ending, total in sums.answers:
            place = self._numbering.answer(cause, check, answer) if symptom == self.tree.id else None
            at = self._numbering.cause(cause) if place is not None else None
            if place is not None and at is not None:
                group = self._group(group_of(ending, year, self.settings))
                self._foresight.add(group, {}, {(at, *place): total})
        for symptom, year, ending, total in sums.unconfirmed:
            if symptom == self.tree.id:
                self._told_elsewhere(ending, year, total)

    def _told_elsewhere(self, ending: str, year: int, total: int) -> int:
        """Counts cases that ended so in another store; gives the index of their group."""
        group = group_of(ending, year, self.settings)
        self._elsewhere[group] = self._elsewhere.get(group, 0.0) + total
        return self._group(group)

    def _group(self, group: Group) -> int:
        if group not in self._groups:
            self._groups[group] = self._foresight.group(group[0])
        return self._groups[group]

    # Many cases as arrays ---------------------------------------------------------------------------------

    def _block(self, waiting: list[NumberedCase]) -> Block:
        groups = np.array([self._group(self._group_of(each)) for each in waiting], dtype=np.intp)
        return Block(
            truths=np.array([each.truth for each in waiting], dtype=np.intp),
            groups=groups,
            learned=self._by_check(each.learned for each in waiting),
            said=self._by_check(each.said for each in waiting),
            readings={
                id: {line: each.readings[id] for line, each in enumerate(waiting) if id in each.readings}
                for id in self.tree.checks
            },
            tried=self._tried(waiting),
            fading=self._fading(waiting),
            over=self._over(waiting, groups),
        )

    def _group_of(self, each: NumberedCase) -> Group:
        record = each.case.record
        return group_of(record.state, record.opened.year, self.settings)

    def _by_check(self, answers: Iterable[Mapping[str, int]]) -> dict[str, Ints]:
        lines = list(answers)
        return {
            id: np.array([line.get(id, NOTHING) for line in lines], dtype=np.intp) for id in self.tree.checks
        }

    def _tried(self, waiting: list[NumberedCase]) -> Array:
        tried = np.zeros((len(waiting), len(self._model.ids)))
        with np.errstate(divide="ignore"):
            for line, each in enumerate(waiting):
                for at in each.failed:
                    tried[line, at] = np.log1p(-self._model.hypotheses[at].cures)
        return tried

    def _fading(self, waiting: list[NumberedCase]) -> Array:
        half_life = self.settings.half_life
        if half_life is None:
            return np.ones((len(waiting), len(self._groups)))
        return np.array(
            [[weight(year, each.case.on, half_life) for _, year in self._groups] for each in waiting]
        )

    def _over(self, waiting: list[NumberedCase], groups: Ints) -> Array:
        """How many cases of each group were over when each case was confirmed; itself left out."""
        moments = np.array([each.case.on.timestamp() for each in waiting])
        none = np.zeros(0)
        over = [
            np.searchsorted(self.over.get(group, none), moments) + self._elsewhere.get(group, 0.0)
            for group in self._groups
        ]
        itself = [
            each.case.record.state in OVER and each.case.record.opened < each.case.on for each in waiting
        ]
        counted = np.stack(over, axis=1)
        counted[np.arange(len(waiting)), groups] -= itself
        return counted

    # What was said ----------------------------------------------------------------------------------------

    def _said(self, places: Ints, cases: list[NumberedCase], foreseen: Foreseen, lines: Ints) -> Said:
        truths = np.array([each.truth for each in cases], dtype=np.intp)
        costs = np.array([self._costs_of(each) for each in cases])
        walked = np.array([np.nan if each.walked is None else each.walked for each in cases])
        expected = (foreseen.priors[lines] * costs).sum(axis=1)
        return Said(
            places=places,
            learned=Predicted(foreseen.shares[lines], truths),
            by_file=Predicted(np.array([each.by_file for each in cases]), truths),
            endings=tuple(each.case.record.state for each in cases),
            expected=expected,
            expected_by_file=costs @ self._model.prior,
            walked=np.where(np.isnan(expected), np.nan, walked),
        )

    def _costs_of(self, each: NumberedCase) -> Array:
        """What the file's route costs by cause, for whoever walked; NaN where nobody did."""
        role = each.case.record.role
        if each.walked is not None and role not in self._minutes:
            model = build_model(self.tree, role, self.settings, other_trees=self.other_trees)
            self._minutes[role] = minutes_by_cause(model, self.cache)
        costs = None if each.walked is None else self._minutes[role]
        return np.full(len(self._model.ids), np.nan) if costs is None else costs
