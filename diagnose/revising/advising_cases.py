"""Advice that past cases give: shares and expectations that they contradict, causes that never come.

Confirmed cases count as the ranking counts them, each ending weighed by its rate of return. Something is said
only where chance hardly explains it and where it would matter:

- shares and expectations: the file's figure lies outside Jeffreys' interval of the cases at a level at which,
  over all that is compared in the tree, at most 1 % of what is told is chance alone (Benjamini & Hochberg);
  and the cases lie `SHARE_BY` or `EXPECT_BY` away from it
- causes never confirmed: under 1 % is the chance that none of all cases had it, were its share right
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnose.knowledge.ids import quoted
from diagnose.reasoning.learning import tally_of, weighed, without_place
from diagnose.reasoning.model import Model
from diagnose.revising.advising_chances import agreement, controlled
from diagnose.revising.advising_routes import mark_of, placed
from diagnose.terms import NOT_LISTED, Advice, Mark, Tally

LEVEL = 0.01
"""Of what is told at most so much is chance alone."""
NEVER = 0.01
"""The chance under which a cause that nobody had is told."""
SHARE_BY = 0.03
"""A share that is less wrong than this is left alone: cases put it right by themselves."""
EXPECT_BY = 0.15
"""The same for what a check expects."""
MISTAKEN = 0.02
"""Nobody answers more surely than this: what a file takes as impossible may be a slip of the hand."""


def advice_on_cases(model: Model, tally: Tally) -> list[Advice]:
    """What the confirmed cases say against a tree's figures; `model` has learned from no case.

    `tally` holds the sums under the ids at confirmation. Takes a few milliseconds, whatever the number of
    cases.
    """
    tree = model.tree
    known = weighed(tally_of(tree, tally))
    gone = [
        placed(
            Mark(tree.file, 1, 1), tree, "cause-gone",
            f"confirmed cases name {quoted(cause)}, which is no cause here now; they count for nothing",
        )
        for cause in without_place(tree, tally)
    ]  # fmt: skip
    return [*gone, *_shares(model, known), *_expectations(model, known)]


# Shares ---------------------------------------------------------------------------------------------------


def _shares(model: Model, known: Tally) -> Iterator[Advice]:
    """Shares that the cases contradict, and causes that they should have shown and never did."""
    of = known.total
    if of <= 0:
        return
    hits = [known.causes.get(id, 0.0) for id in model.ids]
    chances = [agreement(n, of, float(share)) for n, share in zip(hits, model.prior, strict=True)]
    for at, chance in enumerate(controlled(chances)):
        id, share = model.ids[at], float(model.prior[at])
        name = "not-listed" if id == NOT_LISTED else f"cause {quoted(id)}"
        if hits[at] == 0 and id != NOT_LISTED and (1 - share) ** of < NEVER:
            text = f"{name} was never confirmed in {of:.4g} cases, though it has {_of_100(share)} of 100"
            yield placed(
                mark_of(model.tree, id), model.tree, "cause-never-confirmed",
                f"{text}; lower its in_100, or see whether it goes under another name",
            )  # fmt: skip
        elif chance <= LEVEL and abs(hits[at] / of - share) >= SHARE_BY:
            text = f"{name} has {_of_100(share)} of 100, and {hits[at]:.4g} of {of:.4g} confirmed cases"
            key = "not_listed" if id == NOT_LISTED else "in_100"
            text += f" ({_of_100(hits[at] / of)} of 100); move its {key} there"
            yield placed(mark_of(model.tree, id), model.tree, "share-contradicted", text)


def _of_100(share: float) -> str:
    return f"{100 * share:.2g}" if share < 0.1 else f"{100 * share:.0f}"


# Expectations ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was seen of one check in the cases of one hypothesis, beside what the file expects."""

    check: str
    hypothesis: int
    answer: str
    """The one that is furthest from what is expected."""
    hits: float
    of: float
    share: float
    chance: float
    """How well they agree, all answers of the check allowed for."""


def _expectations(model: Model, known: Tally) -> Iterator[Advice]:
    """What a check expects of a cause and the cases of that cause contradict."""
    seen = list(_compared(model, known))
    for each, chance in zip(seen, controlled([each.chance for each in seen]), strict=True):
        if chance > LEVEL or abs(each.hits / each.of - each.share) < EXPECT_BY:
            continue
        cause = quoted(model.ids[each.hypothesis])
        text = f"check {quoted(each.check)} expects {quoted(each.answer)} in {_of_100(each.share)} of 100"
        text += f" if it is {cause}, and {each.hits:.4g} of its {each.of:.4g} confirmed cases had it"
        mark = model.tree.checks[each.check].mark
        where = "expect" if "+" in model.ids[each.hypothesis] else f"expect of {cause}"
        text += f"; move it in {where} towards {each.hits / each.of:.2f}"
        yield placed(mark, model.tree, "expect-contradicted", text)


def _compared(model: Model, known: Tally) -> Iterator[_Seen]:
    """Each check with each listed hypothesis in whose cases it was answered."""
    for check in model.tree.checks.values():
        answers = check.answer_ids()
        for at, id in enumerate(model.ids):
            hits = np.array([known.answers.get((id, check.id, answer), 0.0) for answer in answers])
            if id == NOT_LISTED or hits.sum() <= 0:
                continue
            of = float(hits.sum())
            expected = np.clip(model.rows[check.id][at], MISTAKEN, 1 - MISTAKEN)
            chances = [agreement(float(n), of, float(p)) for n, p in zip(hits, expected, strict=True)]
            far = min(range(len(answers)), key=lambda a: (chances[a], -abs(hits[a] / of - expected[a])))
            yield _Seen(
                check.id, at, answers[far], float(hits[far]), of, float(expected[far]),
                min(1.0, len(answers) * chances[far]),
            )  # fmt: skip
