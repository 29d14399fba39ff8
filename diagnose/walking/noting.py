"""Steps that were planned and are in the journal, so that the same is shown again where a walk stands again.

A plan that is refined while somebody reads may be ready a moment earlier or later, and another time not at
all. So what it came to is written down before it is shown: going back, taking the case up again and reading
the journal anew all come by the same questions, whatever the clock did.
"""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from diagnose.terms import Step, StepKind
from diagnose.walking.past import Past
from diagnose.walking.scene import CHANGED_TREE


def noted_step(past: Past) -> Step | None:
    """The latest step that was planned where the walk stands now: with these findings and remedies tried.

    None where there was none, or the tree has changed since: the changed tree is planned anew.
    """
    situation = past.situation
    for line in reversed(past.lines):
        if line.kind == "resumed" and line.subject == CHANGED_TREE:
            return None
        if line.kind == "planned" and line.answer and _as_before(past, line.number).situation == situation:
            return Step(cast(StepKind, line.answer), line.subject)
    return None


def _as_before(past: Past, number: int) -> Past:
    """What held when that line was written."""
    lines = tuple(line for line in past.lines if line.number < number)
    taken_back = {line.subject for line in lines if line.kind == "back"}
    live = tuple(line for line in lines if str(line.number) not in taken_back)
    return replace(past, lines=lines, live=live)
