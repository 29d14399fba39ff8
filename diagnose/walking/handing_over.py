"""What one tree may take over from another when a walk is handed over.

Facts of the vehicle hold everywhere. A check's finding is taken over only where the other tree asks the very
same thing: the same id, question, answers and unit. Danger questions never are: they are asked anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.terms import Check, Finding, Tree
from diagnose.walking.past import check_of


def carried_over(findings: Sequence[Finding], one: Tree, other: Tree) -> tuple[Finding, ...]:
    """Of findings made in one tree, those that the other may begin with."""
    return tuple(
        finding
        for finding in findings
        if finding.check not in (*one.ask_first, *other.ask_first)
        and _same(check_of(one, finding.check), check_of(other, finding.check))
    )


def _same(one: Check | None, other: Check | None) -> bool:
    if one is None or other is None:
        return False
    return (one.ask, one.answers, one.reading, one.bands) == (
        other.ask,
        other.answers,
        other.reading,
        other.bands,
    )
