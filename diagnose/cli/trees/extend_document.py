"""What extending a tree came to as one JSON document; every figure unrounded, null where it is not known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from diagnose.revising.consequences import ROLES

if TYPE_CHECKING:
    from diagnose.revising.consequences import Proof
    from diagnose.revising.extending import NewCause
    from diagnose.revising.extending_figures import Judged
    from diagnose.revising.writing import Opened
    from diagnose.terms import Advice, Tree


def extension_as_json(
    old: Tree, opened: Opened, case: int, new: NewCause, judged: Judged, *, written: bool, confirmed: bool
) -> dict[str, Any]:
    """The document; docs/extending.md says what each key holds."""
    from diagnose.knowledge.collection import shown
    from diagnose.revising.writing import difference

    found = judged.found
    return {
        "symptom": old.id,
        "file": shown(opened.target),
        "case": case,
        "cause": new.id,
        "written": written,
        "copied": opened.copied,
        "confirmed": confirmed,
        "change": list(difference(opened, judged.text)),
        "proved": list(found.after.proved) if found.after is not None else [],
        "expected_minutes": {
            role: {"before": _minutes(found.before, role), "now": _minutes(found.after, role)}
            for role in ROLES
        },
        "advice_new": _advice(found.advice_new),
        "advice_gone": _advice(found.advice_gone),
        "cases": found.replay.cases if found.replay is not None else None,
    }


def _minutes(proof: Proof | None, role: str) -> float | None:
    costs = {str(each): costs for each, costs in proof.costs.items()} if proof is not None else {}
    return costs[role].expected.cost if role in costs else None


def _advice(found: Sequence[Advice]) -> list[dict[str, Any]]:
    return [{"line": each.line, "column": each.column, "message": each.message} for each in found]
