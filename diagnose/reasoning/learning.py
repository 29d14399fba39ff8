"""A tally that was kept under older ids, read as this tree calls them today.

Sums stay under the ids that held when a case was confirmed. A tree that has renamed a cause or a check
names the old id under `was`; a cause that exists no more counts for nothing, and can be named.
"""

from __future__ import annotations

from collections import defaultdict

from diagnose.terms import NOT_LISTED, Tally, Tree


def tally_of(tree: Tree, tally: Tally) -> Tally:
    """The sums under the ids of this tree; what has no place here is left out.

    Sums of an old and of a new id are added.
    """
    causes: dict[str, float] = defaultdict(float)
    for id, count in tally.causes.items():
        known = _cut_set(tree, id)
        if known is not None:
            causes[known] += count
    answers: dict[tuple[str, str, str], float] = defaultdict(float)
    renamed = {old: check.id for check in tree.checks.values() for old in check.was}
    for (id, check, answer), count in tally.answers.items():
        known, asked = _cut_set(tree, id), renamed.get(check, check)
        if known is not None and asked in tree.checks and answer in tree.checks[asked].answer_ids():
            answers[known, asked, answer] += count
    return Tally(dict(causes), dict(answers))


def without_place(tree: Tree, tally: Tally) -> tuple[str, ...]:
    """The confirmed causes that this tree has no more, in alphabetical order."""
    return tuple(sorted(id for id, n in tally.causes.items() if n > 0 and _cut_set(tree, id) is None))


def _cut_set(tree: Tree, id: str) -> str | None:
    """The id of the cut set that an id, perhaps an old one, means today."""
    if id == NOT_LISTED:
        return id
    renamed = {old: event.id for event in tree.causes() for old in event.was}
    meant = {renamed.get(cause, cause) for cause in id.split("+")}
    return next(("+".join(causes) for causes in tree.cut_sets if set(causes) == meant), None)
