"""What a tree says of one past case, learned from all other cases: the case itself is left out of the sums.

Leaving a case out changes the weights of its ending, the row of its cause in each check that it answered, and
through its branch those of the siblings; never more than that. So there are few different tables, one for
each (ending, cause, answer of the check), each made once by the very functions of `reasoning.learning` and
`reasoning.expectations` and kept: a case then costs one column for each of its findings, whatever their
number.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.evidence import normalised
from diagnose.reasoning.expectations import file_rows, learned_pseudo_counts
from diagnose.reasoning.learning import tally_of, weighed
from diagnose.reasoning.model import Model
from diagnose.terms import EndedCases, Tally

Array = NDArray[np.float64]
Group = tuple[str, float]
"""(ending, what such a case counts by its age)"""
Answered = tuple[str, str, str]
Key = TypeVar("Key", str, Answered)

NOTHING_LEFT = 1e-9
"""A sum below this is nought, but for rounding."""


class WithoutItself:
    """One tree that has learned from all cases but the one that is asked about.

    `model` is a technician's, of the file alone; `tally` are the sums of all cases, under any ids.
    """

    def __init__(self, model: Model, tally: Tally) -> None:
        self.model = model
        self._sums = tally_of(model.tree, tally)
        self._by_check = {id: _of_check(self._sums, id) for id in model.rows}
        self._file_rows = {
            id: file_rows(model.tree, model.tree.checks[id], model.hypotheses) for id in model.rows
        }
        in_100 = np.array([each.in_100 for each in model.hypotheses])
        self._file_alpha = model.tree.strength * in_100 / in_100.sum()
        self._priors: dict[tuple[Group, int], Array] = {}
        self._rows: dict[tuple[str, Group, int, int], Array] = {}
        self._columns: dict[tuple[str, Group, int, int, int], Array] = {}

    def shares(
        self,
        group: Group,
        truth: int,
        learned: Mapping[str, int],
        said: Mapping[str, int],
        readings: Mapping[str, Array],
        failed: Mapping[int, float],
    ) -> Array:
        """The share of each hypothesis after a case's findings.

        `learned` are the answers under which it counts, `said` those that were found (index of the answer),
        `readings` ln of the weight of each band, `failed` ln of what a remedy in vain leaves of a hypothesis.
        """
        logs = self.log_prior(group, truth).copy()
        for check, answer in said.items():
            logs += self._column(check, group, truth, learned.get(check, -1), answer)
        for check, bands in readings.items():
            with np.errstate(divide="ignore"):
                rows = np.log(self.rows(check, group, truth, learned.get(check, -1)))
            logs += np.logaddexp.reduce(rows + bands, axis=1)
        for at, left in failed.items():
            logs[at] += left
        return normalised(logs)

    def log_prior(self, group: Group, truth: int) -> Array:
        """ln of the shares before any finding, without one case of that group and cause."""
        key = (group, truth)
        if key not in self._priors:
            sums = weighed(_less(self._no_answers(), group, self.model.ids[truth], None))
            counted = np.array([sums.causes.get(id, 0.0) for id in self.model.ids])
            alpha = self._file_alpha + counted
            self._priors[key] = np.log(alpha / alpha.sum())
        return self._priors[key]

    def rows(self, check: str, group: Group, truth: int, learned: int) -> Array:
        """P(answer | hypothesis) of a check without a case that answered so (-1: that did not answer it)."""
        key = (check, group, truth, learned)
        if key not in self._rows:
            model, asked = self.model, self.model.tree.checks[check]
            cause = model.ids[truth]
            answered = (cause, check, asked.answer_ids()[learned]) if learned >= 0 else None
            sums = weighed(_less(self._by_check[check], group, cause, answered))
            strength = model.settings.expect_strength
            pseudo = learned_pseudo_counts(
                model.tree, asked, model.hypotheses, self._file_rows[check], sums, strength
            )
            self._rows[key] = pseudo / pseudo.sum(axis=1, keepdims=True)
        return self._rows[key]

    def _column(self, check: str, group: Group, truth: int, learned: int, answer: int) -> Array:
        key = (check, group, truth, learned, answer)
        if key not in self._columns:
            with np.errstate(divide="ignore"):
                self._columns[key] = np.log(self.rows(check, group, truth, learned)[:, answer])
        return self._columns[key]

    def _no_answers(self) -> Tally:
        endings = {id: replace(each, answers={}) for id, each in self._sums.endings.items()}
        return Tally(self._sums.causes, {}, endings)


def _of_check(tally: Tally, check: str) -> Tally:
    """The sums with the answers of one check alone."""

    def own(answers: Mapping[Answered, float]) -> dict[Answered, float]:
        return {key: count for key, count in answers.items() if key[1] == check}

    endings = {id: replace(each, answers=own(each.answers)) for id, each in tally.endings.items()}
    return Tally(tally.causes, own(tally.answers), endings)


def _less(tally: Tally, group: Group, cause: str, answered: Answered | None) -> Tally:
    """The sums without one case."""
    ending, weight = group
    endings = dict(tally.endings)
    if ending in endings:
        each = endings[ending]
        endings[ending] = EndedCases(
            ended=max(0.0, each.ended - weight),
            confirmed=_rest(each.confirmed - weight),
            causes=_taken(each.causes, cause, weight),
            answers=_taken(each.answers, answered, weight),
        )
    return Tally(_taken(tally.causes, cause, weight), _taken(tally.answers, answered, weight), endings)


def _taken(sums: Mapping[Key, float], key: Key | None, weight: float) -> Mapping[Key, float]:
    if key is None or key not in sums:
        return sums
    left = _rest(sums[key] - weight)
    return {each: left if each == key else count for each, count in sums.items() if each != key or left}


def _rest(count: float) -> float:
    return count if count > NOTHING_LEFT else 0.0
