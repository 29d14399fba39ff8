"""A confirmed case as numbers, under the ids that its tree has today.

What it counts for in the sums and what its findings say are two things: sums keep the band that a reading had
at the confirmation, while the reading itself is weighed by today's bands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.confirmed import ConfirmedCase
from diagnose.cases.journal import counted_answers
from diagnose.cases.records import CaseRecord
from diagnose.reasoning.learning import tally_of
from diagnose.reasoning.model import Model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.readings import as_numbers
from diagnose.reviewing.walked_minutes import walked_minutes
from diagnose.terms import NOT_CURED, Tally
from diagnose.walking.past import read_past

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class NumberedCase:
    """One case as numbers."""

    case: ConfirmedCase
    truth: int
    """The index of the hypothesis that it turned out to be."""
    learned: Mapping[str, int]
    """Check -> the index of the answer under which it counts."""
    said: Mapping[str, int]
    """Check -> the index of the answer that was found."""
    readings: Mapping[str, Array]
    """Check -> ln of the weight of each band."""
    failed: Sequence[int]
    """The hypotheses whose remedies did not cure."""
    by_file: Array
    """The shares of all hypotheses by the file alone."""
    walked: float | None
    """Minutes of the steps taken; None where no walk led to an end."""


@dataclass(frozen=True, slots=True, eq=False)
class Numbering:
    """One tree's ids as numbers; `model` is a technician's, of the file alone."""

    model: Model
    _causes: dict[str, int | None] = field(default_factory=dict)
    _answers: dict[tuple[str, str, str], tuple[str, int] | None] = field(default_factory=dict)

    def cause(self, id: str) -> int | None:
        """The index of the hypothesis that a confirmed cause is today; None where it has no place."""
        if id not in self._causes:
            today = next(iter(tally_of(self.model.tree, Tally({id: 1.0})).causes), None)
            self._causes[id] = None if today is None else self.model.index[today]
        return self._causes[id]

    def answer(self, cause: str, check: str, answer: str) -> tuple[str, int] | None:
        """The check and the answer's index under which an answer counts today; None where it does not."""
        key = (cause, check, answer)
        if key not in self._answers:
            tree = self.model.tree
            found = next(iter(tally_of(tree, Tally({}, {key: 1.0})).answers), None)
            place = None if found is None else (found[1], tree.checks[found[1]].answer_ids().index(found[2]))
            self._answers[key] = place
        return self._answers[key]

    def numbered(self, case: ConfirmedCase, truth: int) -> NumberedCase:
        """The case as numbers; `truth` is what `cause` says of its cause."""
        record, model = case.record, self.model
        past = read_past(model.tree, record.entries)
        situation = past.situation
        said, readings = as_numbers(self.model.tree.checks, situation.findings)
        failed = [id for id, how in situation.tried.items() if how == NOT_CURED]
        return NumberedCase(
            case=case,
            truth=truth,
            learned=self._learned(record),
            said=said,
            readings=readings,
            failed=[model.index[id] for id in failed if id in model.index],
            by_file=posterior(model, situation),
            walked=walked_minutes(past, record, truth, model),
        )

    def _learned(self, record: CaseRecord) -> dict[str, int]:
        answers = counted_answers(record.entries)
        places = (self.answer(record.cause, check, answer) for check, answer in answers.items())
        return dict(place for place in places if place is not None)
