"""What replaying came to as one JSON document: every figure, unrounded; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict
from math import isnan
from typing import Any

from diagnose.reasoning.intervals import LEVEL, Score
from diagnose.revising.paired import Paired
from diagnose.revising.replaying_found import OneSide, Replay
from diagnose.terms import Tree


def as_document(found: Replay, old: Tree, new: Tree) -> dict[str, Any]:
    """The document; docs/replay.md says what each key holds."""
    return {
        "old": {"symptom": old.id, "file": old.file, **_side(found.old)},
        "new": {"symptom": new.id, "file": new.file, **_side(found.new)},
        "cases": found.cases,
        "different": found.different,
        "level": LEVEL,
        "log_loss": _paired(found.loss),
        "rank": _paired(found.rank),
        "minutes": _paired(found.minutes),
        "worse": [asdict(each) for each in found.worse],
        "left_out": _counted(found.left_out, "cause"),
        "not_listed": found.not_listed,
        "new_causes": list(found.new_causes),
        "merged": found.merged,
    }


def _side(side: OneSide) -> dict[str, Any]:
    return {
        "not_asked": _counted(side.not_asked, "check"),
        "cases_not_asked": side.cases_not_asked,
        "unlisted": _counted(side.unlisted, "cause"),
        "weighed": side.weighed,
    }


def _counted(pairs: tuple[tuple[str, int], ...], name: str) -> list[dict[str, Any]]:
    return [{name: id, "cases": cases} for id, cases in pairs]


def _paired(found: Paired | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "old": _score(found.old),
        "new": _score(found.new),
        "gain": _score(found.gain),
        "better": found.better,
        "worse": found.worse,
        "alike": found.alike,
        "differing": found.differing,
        "signed_rank": found.signed_rank,
        "sign": found.sign,
        "verdict": found.verdict,
    }


def _score(score: Score) -> dict[str, Any]:
    ends = (None if isnan(end) else end for end in (score.low, score.high))
    return dict(zip(("value", "low", "high"), (score.value, *ends), strict=True))
