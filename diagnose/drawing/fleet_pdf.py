"""A fleet on its round as PDF: one page of A4; black on white.

For a fleet that one page does not hold the first page tells what is decided by, and the lists stand behind.
"""

from __future__ import annotations

from typing import Any

from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.rounds import fleet_statements as says
from diagnose.rounds.fleet import Fleet
from diagnose.rounds.fleet_chance import Forecast

COLUMNS = ("Vehicle", "Verdict", "Done", "Minutes", "Waits for", "Out")


def fleet_pdf(fleet: Fleet, forecast: Forecast | None) -> bytes:
    """The pages; the same fleet gives the same bytes."""
    return typeset("fleet.typ", _readable(_data(fleet, forecast)))


def _data(fleet: Fleet, forecast: Forecast | None) -> dict[str, Any]:
    return {
        "title": says.heading(fleet),
        "summary": says.summary(fleet),
        "brief": [list(part) for part in says.in_brief(fleet)],
        "each": says.EACH,
        "columns": list(COLUMNS if forecast is not None else COLUMNS[:-1]),
        "vehicles": [_row(fleet, place, forecast) for place in range(len(fleet.vehicles))],
        "minutes_are": says.MINUTES_ARE,
        "outlook_title": f"{says.OUT} {forecast.by}" if forecast is not None else "",
        "outlook": says.outlook(forecast, fleet) if forecast is not None else [],
        "visits_title": says.VISITS,
        "visits": [
            [says.visit_heading(visit), [list(line) for line in says.visit_lines(visit)]]
            for visit in fleet.visits
        ],
        "no_visit": says.NO_VISIT,
        "there_are": says.THERE_ARE if fleet.visits else "",
        "buy_title": says.TO_BUY,
        "to_buy": [[item.says, says.buy_line(item)] for item in fleet.to_buy],
        "nothing_to_buy": says.NOTHING_TO_BUY,
        "perhaps_is": says.PERHAPS_IS if any(item.perhaps for item in fleet.to_buy) else "",
        "overdue_title": says.OVERDUE,
        "overdue": [list(line) for line in says.overdue_lines(fleet)],
        "nothing_over": says.NOTHING_OVER,
        "closing": list(says.CLOSING),
    }


def _row(fleet: Fleet, place: int, forecast: Forecast | None) -> list[Any]:
    """Name, verdict, done, minutes, what it waits for and, with a forecast, the chance to be out."""
    vehicle = fleet.vehicles[place]
    verdict, done, minutes, *out = says.figures(vehicle, forecast)
    return [vehicle.name, verdict, done, minutes, says.waits(vehicle), *out]


def _readable(value: Any) -> Any:
    """Every text without what turns the direction of reading, with places to break in its longest words.

    No line begins with a per cent sign.
    """
    if isinstance(value, str):
        return breakable(without_refused(value)).replace(" %", "\N{NO-BREAK SPACE}%")
    if isinstance(value, list):
        return [_readable(each) for each in value]
    return {key: _readable(each) for key, each in value.items()} if isinstance(value, dict) else value
