"""Scores as one JSON document: every figure, unrounded; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict
from math import isnan
from typing import Any

from diagnose.reasoning.intervals import LEVEL, Score
from diagnose.reviewing.figures import Figures, Minutes, Side
from diagnose.reviewing.scoring import Review, TreeScores


def as_document(review: Review) -> dict[str, Any]:
    """The document; docs/score.md says what each key holds."""
    return {
        "since": review.since.date().isoformat() if review.since is not None else None,
        "level": LEVEL,
        "overall": _figures(review.overall) if review.overall is not None else None,
        "course": [asdict(each) for each in review.course],
        "symptoms": [_tree(each) for each in review.trees],
        "left_out": [
            {
                "symptom": each.symptom,
                "cause": each.cause or None,
                "cases": each.cases,
                "because": each.reason,
            }
            for each in review.left_out
        ],
    }


def _tree(each: TreeScores) -> dict[str, Any]:
    return {
        "symptom": each.symptom,
        "says": each.says,
        "walked_with_an_earlier_file": each.earlier_file,
        "endings": [
            {
                "ending": of.ending,
                "ended": int(of.ended),
                "confirmed": int(of.confirmed),
                "weight": of.weight,
            }
            for of in each.returns
        ],
        **_figures(each.figures),
    }


def _figures(figures: Figures) -> dict[str, Any]:
    learning = figures.learning
    return {
        "cases": figures.cases,
        "worth": figures.effective,
        "learned": _side(figures.learned),
        "by_file": _side(figures.by_file),
        "learning": {
            "gain": _score(learning.difference),
            "better": learning.better,
            "same": learning.same,
            "worse": learning.worse,
            "verdict": learning.verdict,
        },
        "calibration": [asdict(each) for each in figures.calibration],
        "minutes": _minutes(figures.minutes) if figures.minutes is not None else None,
    }


def _side(side: Side) -> dict[str, Any]:
    return {
        "log_loss": _score(side.log_loss),
        "brier": _score(side.brier),
        "top_1": _score(side.top_1),
        "top_3": _score(side.top_3),
    }


def _minutes(minutes: Minutes) -> dict[str, Any]:
    return {
        "cases": minutes.walked.cases,
        "expected": _score(minutes.expected),
        "expected_by_file": _score(minutes.expected_by_file),
        "walked": _score(minutes.walked),
        "more": _score(minutes.difference),
    }


def _score(score: Score) -> dict[str, float | None]:
    return {
        name: None if isnan(value) else value
        for name, value in (("value", score.value), ("low", score.low), ("high", score.high))
    }
