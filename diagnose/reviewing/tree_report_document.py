"""How good a tree is, as one JSON document: every figure, unrounded; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from diagnose.reviewing.tree_report import Side, TreeReport


def as_document(report: TreeReport) -> dict[str, Any]:
    """The document; docs/tree-report.md says what each key holds."""
    return {
        "id": report.tree.id,
        "symptom": report.tree.symptom,
        "role": report.role,
        "strength": report.tree.strength,
        "cases": report.cases,
        "routes": {role: _side(side) for role, side in report.sides.items()},
        "spread": list(report.spread),
        "spread_half": list(report.spread_half),
        "truths": report.truths,
        "lost": {"mean": report.loses.mean, "most": report.loses.worst} if report.loses is not None else None,
        "causes": [_renamed(asdict(each)) for each in report.causes],
        "checks": [_renamed(asdict(each)) for each in report.checks],
        "together": [_renamed(asdict(each)) for each in report.gates],
    }


def _side(side: Side) -> dict[str, Any]:
    found = side.figures
    return {
        "expected_minutes": found.expected.cost,
        "expected_hands_on": found.expected.hands_on,
        "expected_wait": found.expected.wait,
        "expected_price": found.expected.price,
        "least_minutes": side.least,
        "cured": found.cured,
        "referred": found.referred,
        "stopped": found.stopped,
        "handed_over": found.handed_over,
        "right": side.right,
    }


def _renamed(line: dict[str, Any]) -> dict[str, Any]:
    """A line with the names of the document."""
    names = {"alone": "independent", "share_of_sets": "share"}
    return {names.get(key, key): value for key, value in line.items()}
