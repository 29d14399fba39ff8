"""One of the two trees of a replay: what it says of a past case, and what its route would have cost in it.

Routes are those that the file alone lets plan, as in `cases score`: no past case has a part in them. What an
answer's chance is, given the true cause, is learned from all other cases.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.journal import counted_answers
from diagnose.cases.records import CaseRecord
from diagnose.reasoning.learning import tally_of
from diagnose.reasoning.model import Model, build_model
from diagnose.reasoning.readings import as_numbers
from diagnose.revising.replaying_minutes import Known, WalkedAgain
from diagnose.revising.replaying_names import cause_here, unknown_as_not_listed, with_names_of
from diagnose.revising.replaying_shares import Group, WithoutItself
from diagnose.terms import CURED, NOT_CURED, NOT_LISTED, NOT_SURE, Finding, Role, Settings, Tally, Tree
from diagnose.walking.past import Past, read_past
from diagnose.walking.shelf import route_for

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Said:
    """What one tree says of one case."""

    share: float
    """Of what it turned out to be, after all findings."""
    rank: int
    """Its place in the ranking, from 1."""
    known: Known
    """What its route is sent along."""
    not_asked: tuple[str, ...]
    """Findings that this tree does not ask for, by the id that they stand under."""


@dataclass(slots=True, eq=False)
class Side:
    """One tree that past cases are held against."""

    tree: Tree
    """Under its own names and those of the other tree."""
    settings: Settings
    other_trees: frozenset[str]
    cache: Path | None
    _model: Model = field(init=False)
    _shares: WithoutItself = field(init=False)
    _answers: dict[tuple[str, str, str], tuple[str, int] | None] = field(default_factory=dict)
    _routes: dict[Role, WalkedAgain] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Makes the arrays of the file; raises TreeTooLarge."""
        self._model = build_model(self.tree, "technician", self.settings, other_trees=self.other_trees)
        self._shares = WithoutItself(self._model, Tally())

    def learn(self, tally: Tally, known_elsewhere: Sequence[str]) -> None:
        """Takes the sums of all cases; a cause that only the other tree knows is `not-listed` here."""
        self._shares = WithoutItself(self._model, unknown_as_not_listed(self.tree, tally, known_elsewhere))

    def has_place_for(self, cause: str) -> bool:
        """Whether the tree has a confirmed cause, or calls it by another name."""
        return cause_here(self.tree, cause) is not None

    def said(self, record: CaseRecord, group: Group) -> Said:
        """What the tree says of a case without having learned from it."""
        cause = cause_here(self.tree, record.cause)
        truth = self._model.index[NOT_LISTED if cause is None else cause]
        past = read_past(self.tree, record.entries)
        situation = past.situation
        answers, readings = as_numbers(self.tree.checks, situation.findings)
        failed = [self._model.index[id] for id, how in situation.tried.items() if how == NOT_CURED]
        with np.errstate(divide="ignore"):
            left = {at: float(np.log1p(-self._model.hypotheses[at].cures)) for at in failed}
        learned = self._learned(record, self._model.ids[truth])
        shares = self._shares.shares(group, truth, learned, answers, readings, left)
        share = shares[truth]
        before = np.count_nonzero(shares > share) + np.count_nonzero(shares[:truth] == share)
        return Said(
            share=float(share),
            rank=int(before) + 1,
            known=self._known(past, situation.findings, situation.tried, truth, group),
            not_asked=_not_asked(past, situation.findings),
        )

    def minutes(self, cases: Sequence[Known], roles: Sequence[Role]) -> tuple[Array, Bools]:
        """What the route of each case's role would have cost, and whether an answer had to be weighed.

        Raises UnsafeRoute where the tree has no route that keeps the safety rules.
        """
        minutes, weighed = np.zeros(len(cases)), np.zeros(len(cases), dtype=bool)
        for role in dict.fromkeys(roles):
            lines = [line for line, each in enumerate(roles) if each == role]
            minutes[lines], weighed[lines] = self._route(role).minutes([cases[line] for line in lines])
        return minutes, weighed

    def _route(self, role: Role) -> WalkedAgain:
        if role not in self._routes:
            model = build_model(self.tree, role, self.settings, other_trees=self.other_trees)
            self._routes[role] = WalkedAgain(route_for(model, self.cache), model)
        return self._routes[role]

    def _learned(self, record: CaseRecord, cause: str) -> dict[str, int]:
        """The answers under which a case counts in the sums."""
        found: dict[str, int] = {}
        for check, answer in counted_answers(record.entries).items():
            key = (cause, check, answer)
            if key not in self._answers:
                place = next(iter(tally_of(self.tree, Tally({}, {key: 1.0})).answers), None)
                ids = () if place is None else self.tree.checks[place[1]].answer_ids()
                self._answers[key] = None if place is None else (place[1], ids.index(place[2]))
            here = self._answers[key]
            if here is not None:
                found[here[0]] = here[1]
        return found

    def _known(
        self, past: Past, findings: Mapping[str, Finding], tried: Mapping[str, str], truth: int, group: Group
    ) -> Known:
        became = dict(tried)
        if past.cured is not None:
            became[past.cured] = CURED
        return Known(
            truth=truth,
            answers={id: finding.answer for id, finding in findings.items() if finding.answer is not None},
            tried=became,
            chances=lambda check: np.asarray(self._shares.rows(check, group, truth, -1)[truth]),
        )


def sides(
    old: Tree, new: Tree, settings: Settings, other_trees: frozenset[str], cache: Path | None
) -> tuple[Side, Side]:
    """Both trees, each knowing what the other calls its events and checks; raises TreeTooLarge."""
    first, second = with_names_of(old, new), with_names_of(new, old)
    return Side(first, settings, other_trees, cache), Side(second, settings, other_trees, cache)


def _not_asked(past: Past, findings: Mapping[str, Finding]) -> tuple[str, ...]:
    """What was found and stands, but is no answer to anything that the tree asks."""
    taken_back = {line.subject for line in past.journal if line.kind == "back"}
    found = {
        line.subject: line
        for line in past.journal
        if line.kind == "finding" and line.answer != NOT_SURE and str(line.number) not in taken_back
    }
    placed = {line.number for line in past.live if line.kind == "finding" and line.subject in findings}
    return tuple(id for id, line in found.items() if line.number not in placed)
