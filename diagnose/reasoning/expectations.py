"""P(answer | hypothesis): what the file expects, and what confirmed cases add to it.

A row of the table is what one hypothesis leads one to see:

    answers of `hum`       yes    no
    fuse                   .02   .98      its own entry
    pump                   .50   .50      its own entry
    pipe, tank             .85   .15      `otherwise`
    not-listed             .50   .50      always even, unless all causes have the same row
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.hypotheses import Hypothesis
from diagnose.terms import NOT_LISTED, Check, Tally, Tree

Array = NDArray[np.float64]

LIFT_EXPONENT = 0.7
"""How far a branch's cases move a sibling's expectations: 0 not at all, 1 wholly."""


def entry_row(entry: Mapping[str, float] | None, answers: Sequence[str]) -> Array:
    """An entry of `expect` as probabilities over all answers; None is even.

    What the entry leaves unassigned is shared equally among the answers that it does not name; an entry that
    names every answer is scaled to sum to one.

    >>> entry_row({"no": 0.8}, ["yes", "no", "unclear"]).round(2).tolist()
    [0.1, 0.8, 0.1]
    """
    if entry is None:
        return np.full(len(answers), 1 / len(answers))
    row = np.array([entry.get(answer, 0.0) for answer in answers])
    unnamed = np.array([answer not in entry for answer in answers])
    if unnamed.any():
        row[unnamed] = max(0.0, 1 - row.sum()) / unnamed.sum()
    return np.asarray(row / row.sum())


def file_rows(tree: Tree, check: Check, hypotheses: Sequence[Hypothesis]) -> Array:
    """The file's own table of one check: a row for each hypothesis, a column for each answer."""
    answers = check.answer_ids()
    listed = [_row(tree, check, each.causes, answers) for each in hypotheses if each.id != NOT_LISTED]
    same = all(np.allclose(row, listed[0], rtol=0, atol=1e-12) for row in listed)
    hidden = listed[0] if same else entry_row(None, answers)
    return np.array([*listed, hidden])


def _row(tree: Tree, check: Check, causes: tuple[str, ...], answers: Sequence[str]) -> Array:
    if len(causes) > 1:
        common = _lowest_common_all_of(tree, causes)
        if common is not None:
            named = _nearest_named(check, (common, *tree.events[common].chain))
            if named is not None:
                return entry_row(check.expect[named], answers)
        return np.asarray(np.mean([_row(tree, check, (cause,), answers) for cause in causes], axis=0))
    named = _nearest_named(check, (causes[0], *tree.events[causes[0]].chain))
    return entry_row(check.expect.get(named or "otherwise"), answers)


def _nearest_named(check: Check, chain: Sequence[str]) -> str | None:
    return next((event for event in chain if event in check.expect), None)


def _lowest_common_all_of(tree: Tree, causes: tuple[str, ...]) -> str | None:
    chains = [tree.events[cause].chain for cause in causes]
    shared = set(chains[0]).intersection(*chains[1:])
    return next((e for e in chains[0] if e in shared and tree.events[e].gate == "all_of"), None)


def learned_pseudo_counts(
    tree: Tree,
    check: Check,
    hypotheses: Sequence[Hypothesis],
    rows: Array,
    tally: Tally,
    strength: float,
) -> Array:
    """Parameters of the Dirichlet over each row: the file's row worth `strength` cases, plus confirmed cases.

    Before its own cases are added, a cause's row is moved by what its branch (the parent event below the
    top) has shown: lift_a = (O_a + e m_a) / (E_a + e m_a), with O the siblings' counts, E what the file
    expected of them and m the branch's mean row (empirical Bayes; cf. Gelman et al., Bayesian Data
    Analysis, ch. 5). Cut sets of several causes and `not-listed` take their own cases alone.
    """
    counts = np.array(
        [[tally.answers.get((each.id, check.id, a), 0.0) for a in check.answer_ids()] for each in hypotheses]
    )
    moved = rows.copy()
    if counts.any():
        for members in _branches(tree, hypotheses).values():
            for leaf in members:
                others = [member for member in members if member != leaf]
                moved[leaf] = _lifted(rows, counts, leaf, others, members, strength)
    return np.asarray(strength * moved + counts)


def _branches(tree: Tree, hypotheses: Sequence[Hypothesis]) -> dict[str, list[int]]:
    """Single causes grouped by their parent event; those directly below the top have no branch."""
    branches: dict[str, list[int]] = {}
    for index, each in enumerate(hypotheses):
        if len(each.causes) == 1 and (chain := tree.events[each.causes[0]].chain):
            branches.setdefault(chain[0], []).append(index)
    return branches


def _lifted(
    rows: Array, counts: Array, leaf: int, others: list[int], members: list[int], strength: float
) -> Array:
    if not others:
        return np.asarray(rows[leaf])
    observed = counts[others].sum(axis=0)
    expected = (counts[others].sum(axis=1, keepdims=True) * rows[others]).sum(axis=0)
    mean = strength * rows[members].mean(axis=0)
    below = expected + mean
    lift = np.where(below > 0, (observed + mean) / np.where(below > 0, below, 1.0), 1.0)
    moved = rows[leaf] * lift**LIFT_EXPONENT
    return np.asarray(moved / moved.sum()) if moved.sum() > 0 else np.asarray(rows[leaf])
