"""A fleet on its round as a page for any width."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.rounds import fleet_statements as says
from diagnose.rounds.fleet import Fleet, FleetVehicle
from diagnose.rounds.fleet_chance import Forecast
from diagnose.terminal.layout import Page
from diagnose.terminal.wrapping import display_width

_HEADER = ("VERDICT", "DONE", "MINUTES", "OUT")
LONGEST_NAME = 24
"""Columns that a name may take in the table."""


def fleet_page(fleet: Fleet, forecast: Forecast | None, width: int) -> str:
    """The page as plain text, its last line without an end."""
    page = Page(width)
    page.say(says.heading(fleet), "strong")
    for sentence in says.summary(fleet):
        page.say(sentence)
    page.gap().say(says.VEHICLES.upper())
    _vehicles(page, fleet.vehicles, forecast)
    page.gap().say(says.MINUTES_ARE)
    if forecast is not None:
        _part(page, f"{says.OUT} {forecast.by}", says.outlook(forecast, fleet))
    _part(page, says.VISITS, [] if fleet.visits else [says.NO_VISIT])
    for visit in fleet.visits:
        page.say(says.visit_heading(visit))
        for name, work in says.visit_lines(visit):
            page.hang("- ", f"{name}: {work}")
    if fleet.visits:
        page.say(says.THERE_ARE)
    _part(page, says.TO_BUY, [] if fleet.to_buy else [says.NOTHING_TO_BUY])
    for item in fleet.to_buy:
        page.hang("- ", f"{item.says}: {says.buy_line(item)}")
    if any(item.perhaps for item in fleet.to_buy):
        page.say(says.PERHAPS_IS)
    _part(page, says.OVERDUE, [] if fleet.overdue else [says.NOTHING_OVER])
    for what, whose in says.overdue_lines(fleet):
        page.hang("- ", f"{what}: {whose}")
    page.gap()
    for sentence in says.CLOSING:
        page.say(sentence)
    return page.text()


def _part(page: Page, title: str, sentences: Sequence[str]) -> None:
    page.gap().say(title.upper())
    for sentence in sentences:
        page.say(sentence)


def _vehicles(page: Page, vehicles: Sequence[FleetVehicle], forecast: Forecast | None) -> None:
    """Names and figures under each other, what each waits for below; where that is too wide, in words."""
    if not vehicles:
        return
    cells = [says.figures(each, forecast) for each in vehicles]
    rows = [_HEADER[: len(cells[0])], *cells]
    widths = [max(map(display_width, column)) for column in zip(*rows, strict=True)]
    name = min(LONGEST_NAME, max(display_width(each.name) for each in vehicles))
    name = max(name, len("VEHICLE"))
    if name + sum(widths) + 2 * len(widths) > page.width:
        for each, told in zip(vehicles, cells, strict=True):
            out = f", out {told[3]}" if forecast is not None else ""
            page.say(each.name).say(f"{told[0]}; {told[1]} done, {told[2]} minutes left{out}", indent=2)
            _waits(page, each)
        return
    _row(page, "VEHICLE", rows[0], name, widths)
    for each, told in zip(vehicles, cells, strict=True):
        _row(page, each.name, told, name, widths)
        _waits(page, each)


def _row(page: Page, first: str, cells: Sequence[str], name: int, widths: Sequence[int]) -> None:
    """A row of the table; a name that is too long stands above its figures."""
    if display_width(first) > name:
        page.say(first)
        first = ""
    *figures, last = map(_aligned, cells, widths, range(len(cells)))
    start = "  ".join([first + " " * (name - display_width(first)), *figures])
    page.hang(
        f"{start}  {' ' * (display_width(last) - display_width(last.lstrip()))}", last.lstrip(), indent=0
    )


def _waits(page: Page, vehicle: FleetVehicle) -> None:
    for phrase in says.waits(vehicle):
        page.hang("- ", phrase, indent=2)


def _aligned(cell: str, width: int, place: int) -> str:
    """Words to the left, figures to the right."""
    gap = " " * (width - display_width(cell))
    return cell + gap if place == 0 else gap + cell
