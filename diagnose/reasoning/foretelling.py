"""What would have been said of each past case from the cases before it: prequential predictions.

Each case is predicted first and learned from afterwards (Dawid 1984, from memory), so that no case has a part
in its own prediction.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.scores import Predicted
from diagnose.terms import NOT_SURE, Role, Settings, Situation, Tally, Tree


@dataclass(frozen=True, slots=True)
class PastCase:
    """What was found in one case, and the confirmed cause: a cut set's id of this tree, or `not-listed`."""

    situation: Situation
    cause: str


def foretold(
    tree: Tree,
    cases: Iterable[PastCase],
    role: Role = "owner",
    settings: Settings = Settings(),  # noqa: B008 - frozen
) -> Predicted:
    """The shares of every hypothesis for each case in turn, from the file and the cases before it.

    Cases count as they are: whoever scores has their outcomes. A remedy tried without a cure is part of the
    prediction, but only findings are learned from, as in the store. Raises ValueError for a cause that the
    tree does not have. Costs one model, a few milliseconds, for each case.
    """
    causes: Counter[str] = Counter()
    answers: Counter[tuple[str, str, str]] = Counter()
    shares, truths = [], []
    for case in cases:
        tally = Tally(dict(causes), dict(answers))
        model = build_model(tree, role, settings, tally)
        if case.cause not in model.index:
            raise ValueError(f'"{case.cause}" is no cause of "{tree.id}"')
        shares.append(posterior(model, case.situation))
        truths.append(model.index[case.cause])
        causes[case.cause] += 1
        for finding in case.situation.findings.values():
            if finding.answer is not None and finding.answer != NOT_SURE:
                answers[case.cause, finding.check, finding.answer] += 1
    return Predicted(np.array(shares) if shares else np.zeros((0, 1)), np.array(truths, dtype=np.intp))
