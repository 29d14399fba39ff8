"""Trends as one JSON document: every figure, unrounded; what has no bound is null."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isfinite
from typing import Any

from diagnose.reasoning.inference import Interval
from diagnose.reviewing.trends_told import Courses, Months, Return, Tested, Trends, Vehicles


def as_document(trends: Trends) -> dict[str, Any]:
    """The document; docs/trends.md says what each key holds."""
    wanted = trends.asked.wanted
    basis = trends.basis
    return {
        "symptom": wanted.symptom,
        "vehicle": wanted.vehicle,
        "since": wanted.opened_from.date().isoformat() if wanted.opened_from else None,
        "until": _day_before(wanted.opened_before) if wanted.opened_before else None,
        "within_months": trends.asked.months,
        "counted": {
            "cases": basis.cases,
            "causes": basis.causes,
            "first": basis.first or None,
            "last": basis.last or None,
            "vehicles": basis.vehicles,
            "without_vehicle": basis.without_vehicle,
            "endings": {
                id: {"ended": ended, "confirmed": known} for id, (ended, known) in basis.endings.items()
            },
            "elsewhere": basis.elsewhere,
        },
        "returns": [_return(each) for each in trends.returns],
        "vehicles": _vehicles(trends.vehicles),
        "again": [
            {
                "vehicle": vehicle.vehicle,
                "symptom": vehicle.symptom,
                "cause": vehicle.cause,
                "says": says,
                "days": vehicle.cases,
            }
            for vehicle, says in trends.again
        ],
        "years": _courses(trends.years),
        "months": _months(trends.months),
        "laid_up": _courses(trends.laid_up),
        "prevention": [
            {
                "prevent": each.text,
                "cases": each.cases,
                "minutes": _interval(each.minutes),
                "causes": [
                    {
                        "symptom": against.symptom,
                        "cause": against.cause,
                        "cases": against.cases,
                        "minutes_each": against.minutes,
                    }
                    for against in each.causes
                ],
            }
            for each in trends.prevention
        ],
    }


def _return(each: Return) -> dict[str, Any]:
    counts = each.counts
    return {
        "symptom": counts.symptom,
        "cause": counts.cause,
        "says": each.says,
        "vehicles": counts.watched,
        "came_back": counts.came_back,
        "too_recent": counts.too_recent,
        "share": _interval(each.share),
    } | _tested(each.tested)


def _vehicles(found: Vehicles | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "compared": found.compared,
        "mean": found.mean,
        "standing_out": found.standing_out,
        "marked": [
            {"vehicle": vehicle.vehicle, "cases": _interval(interval)} | _tested(tested)
            for vehicle, interval, tested in found.marked
        ],
    }


def _courses(found: Courses) -> dict[str, Any]:
    return {
        "steps": list(found.steps),
        "of": list(found.of),
        "too_few": found.too_few,
        "causes": [
            {
                "symptom": each.symptom,
                "cause": each.cause,
                "says": each.says,
                "cases": list(each.cases),
                "factor": _interval(each.change.factor),
                "first": each.change.first,
                "last": each.change.last,
            }
            | _tested(each.tested)
            for each in found.causes
        ],
    }


def _months(found: Months) -> dict[str, Any]:
    return {
        "cases": [_interval(each) for each in found.all],
        "chance": found.chance,
        "too_few": found.too_few,
        "causes": [
            {
                "symptom": each.symptom,
                "cause": each.cause,
                "says": each.says,
                "cases": list(each.cases),
                "peak": each.peak,
                "near": _interval(each.near),
                "near_of_all": each.of_all,
            }
            | _tested(each.tested)
            for each in found.causes
        ],
    }


def _interval(interval: Interval) -> dict[str, float | None]:
    return {name: _finite(getattr(interval, name)) for name in ("value", "low", "high")}


def _tested(tested: Tested | None) -> dict[str, Any]:
    """Nulls where there was too little to test."""
    if tested is None:
        return {"chance": None, "adjusted": None, "stands_out": None}
    return {"chance": tested.chance, "adjusted": tested.adjusted, "stands_out": tested.stands_out}


def _day_before(moment: datetime) -> str:
    return (moment.date() - timedelta(days=1)).isoformat()


def _finite(number: float) -> float | None:
    return number if isfinite(number) else None
