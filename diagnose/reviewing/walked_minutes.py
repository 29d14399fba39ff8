"""What a walk cost, step by step as its journal tells, and what its route had let expect.

Both are minutes as a route counts them (design: everything in minutes): work, waiting and money at their
rates, the way to a place once, and at the end the referral that it came to, with `refer_to` behind it where
that one does not serve what it turned out to be. No clock is read: somebody may have had a cup of tea between
two questions. What is compared is how many and which steps it took, each at the tree's own figure.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diagnose.cases.records import CaseRecord, Entry
from diagnose.reasoning.model import Model
from diagnose.terms import COULD_NOT, DiagnoseError
from diagnose.walking.past import Past

Array = NDArray[np.float64]

WALKED_TO_AN_END = ("cured", "referred", "stopped")


def walked_minutes(past: Past, record: CaseRecord, truth: int, model: Model) -> float | None:
    """The cost of the steps that hold in a case's journal, and of its end; None where no walk led to one.

    `model` is a technician's, which has every step; `truth` is the index of what it turned out to be. What
    was given ahead cost nothing here, yet somebody was at its place. A case brought in has no walk.
    """
    taken = [line for line in past.live if line.kind in ("finding", "tried")]
    if record.source or record.state not in WALKED_TO_AN_END or all(line.ahead for line in taken):
        return None
    end = _end(record, truth, model)
    if end is None:
        return None
    total, reached = end, 0
    for line in taken:
        cost, places = _step(line, model)
        if not line.ahead:
            total += cost + _access(places & ~reached, model)
        reached |= places
    return total


def minutes_by_cause(model: Model, cache: Path | None) -> Array | None:
    """What the file's own route costs for each cause apart; None where it has no route that may be walked."""
    from diagnose.reasoning.robustness import cost_by_cause
    from diagnose.walking.shelf import route_for

    try:
        return cost_by_cause(route_for(model, cache), model)
    except DiagnoseError:
        return None


def _step(line: Entry, model: Model) -> tuple[float, int]:
    """The cost of one step without the way to it, and the bits of its places."""
    if line.kind == "finding":
        at = model.check_index.get(line.subject)
        return (0.0, 0) if at is None else (model.checks[at].cost, model.checks[at].places)
    at = model.remedy_index.get(line.subject)
    if at is None:
        return 0.0, 0
    remedy = model.remedies[at]
    return 0.0 if line.answer == COULD_NOT else remedy.cost, remedy.places


def _access(places: int, model: Model) -> float:
    return sum(float(minutes) for bit, minutes in enumerate(model.access) if places >> bit & 1)


def _end(record: CaseRecord, truth: int, model: Model) -> float | None:
    """The cost of the referral, stop or hand-over that ended a case; nothing for a cure."""
    if record.state == "cured":
        return 0.0
    ends = [each for each in model.endings if each.step.of == record.referral]
    if not ends:
        return None
    # A tree may be handed over to for several causes, each an ending of its own.
    best = max(ends, key=lambda each: float(each.serves[truth]))
    return float(best.minutes + model.refer_cost * (1 - best.serves[truth]))
