"""A fleet on its round as one JSON document; docs/fleet.md says what each key holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from diagnose.rounds.due_statements import due_as_json
from diagnose.rounds.fleet import Fleet, FleetVehicle
from diagnose.rounds.fleet_chance import Forecast
from diagnose.rounds.fleet_needs import Errand
from diagnose.rounds.fleet_statements import CLOSING
from diagnose.terms import Referral
from diagnose.terms.rounds import Verdict


def as_document(fleet: Fleet, forecast: Forecast | None, referrals: Mapping[str, Referral]) -> dict[str, Any]:
    """Every figure unrounded; what is not known is null."""
    verdicts: tuple[Verdict, ...] = ("ready", "limited", "not-ready")
    return {
        "round": fleet.round,
        "today": fleet.today.isoformat(),
        "minutes_left": fleet.minutes,
        "verdicts": {verdict: fleet.count(verdict) for verdict in verdicts},
        "vehicles": [_vehicle(each, fleet, forecast) for each in fleet.vehicles],
        "visits": [
            {
                "referral": visit.referral,
                "to": referrals[visit.referral].to if visit.referral in referrals else None,
                "minutes_there": visit.minutes,
                "vehicles": [
                    {"vehicle": name, "work": [_errand(errand) for errand in errands]}
                    for name, errands in visit.vehicles
                ],
            }
            for visit in fleet.visits
        ],
        "to_buy": [
            {"says": each.says, "needed_for": list(each.sure), "perhaps_for": list(each.perhaps)}
            for each in fleet.to_buy
        ],
        "without_card": list(fleet.without_card),
        "forecast": _forecast(forecast),
        "closing": list(CLOSING),
    }


def _vehicle(vehicle: FleetVehicle, fleet: Fleet, forecast: Forecast | None) -> dict[str, Any]:
    return {
        "vehicle": vehicle.name,
        "card": vehicle.file,
        "verdict": vehicle.verdict,
        "reasons": list(vehicle.reasons),
        "must_not_use": list(vehicle.must_not_use),
        "begun": vehicle.begun.isoformat() if vehicle.begun is not None else None,
        "stopped": vehicle.stopped,
        "tasks": vehicle.tasks,
        "left": list(vehicle.left),
        "round_minutes": vehicle.round_minutes,
        "walk_minutes": vehicle.walk_minutes,
        "minutes_left": vehicle.minutes,
        "walks": [
            {
                "tree": walk.tree,
                "case": walk.case,
                "task": walk.task,
                "expected_minutes": walk.ahead.minutes if walk.ahead is not None else None,
            }
            for walk in vehicle.walks
        ],
        "waits_for": [_errand(errand) for errand in vehicle.errands],
        "parts": [asdict(part) for part in vehicle.parts],
        "overdue": due_as_json(vehicle.overdue, None, fleet.today),
        "chance": forecast.chances[vehicle.name] if forecast is not None else None,
    }


def _errand(errand: Errand) -> dict[str, Any]:
    return {
        "referral": errand.referral,
        "of": errand.of,
        "says": errand.says,
        "why": errand.why,
        "minutes_there": errand.minutes,
        "case": errand.case,
    }


def _forecast(forecast: Forecast | None) -> dict[str, Any] | None:
    if forecast is None:
        return None
    return {
        "by": forecast.by.isoformat(),
        "days": forecast.days,
        "expected_out": forecast.mean,
        "low": forecast.low,
        "high": forecast.high,
        "all_out": forecast.all_out,
        "booked": {referral: day.isoformat() for referral, day in sorted(forecast.booked.items())},
        "assumptions": asdict(forecast.assumptions),
    }
