"""Counts over confirmed cases, added up by the database: by month, by vehicle, by what came back.

Imports SQLAlchemy: load this module late. Every function is one statement that goes through the cases once
and hands out no more rows than there are groups, so that memory stays flat however many cases there are.
A case counts on the day on which it was opened (UTC) and under the id that its cause has today: `today` leads
(symptom, id at the confirmation) to that id where the two differ.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Integer,
    String,
    Subquery,
    and_,
    case,
    cast,
    false,
    func,
    or_,
    select,
)

from diagnose.cases.duplicates import counted_twice
from diagnose.cases.selecting import Wanted, query
from diagnose.cases.sums import OVER
from diagnose.cases.tables import cases, cause_sums

Today = Mapping[tuple[str, str], str]
"""(symptom, id of a cause at its confirmation) -> its id today, where that is another."""


@dataclass(frozen=True, slots=True)
class ByMonth:
    """Confirmed cases of one cause in one month of one year."""

    symptom: str
    cause: str
    year: int
    month: int
    """From 1 to 12."""
    cases: int


@dataclass(frozen=True, slots=True)
class CameBack:
    """Vehicles that had one cause, each from the first time that it was put right there."""

    symptom: str
    cause: str
    watched: int
    """Put right for the first time so long ago that a return within the months would be known."""
    came_back: int
    """Of these, how many had the same cause again within the months, on another day."""
    too_recent: int
    """Put right too recently for that."""


@dataclass(frozen=True, slots=True)
class OfVehicle:
    """How many confirmed cases a vehicle had; with a symptom and cause, how many of that cause."""

    vehicle: str
    cases: int
    symptom: str = ""
    cause: str = ""


def causes_met(connection: Connection) -> tuple[tuple[str, str], ...]:
    """Every (symptom, cause) that some confirmed case of this store has, read off its sums."""
    met = select(cause_sums.c.symptom, cause_sums.c.cause).distinct()
    met = met.where(cause_sums.c.origin == "", cause_sums.c.total > 0)
    return tuple(sorted((row.symptom, row.cause) for row in connection.execute(met)))


def watched(connection: Connection) -> tuple[int, datetime | None]:
    """How many vehicles this store's own cases are of (all without a label are one), and since when."""
    own = select(
        func.count(cases.c.vehicle_key.distinct()).label("n"), func.min(cases.c.opened).label("first")
    )
    row = connection.execute(own.where(cases.c.source.is_(None))).one()
    return int(row.n), row.first


def confirmed_elsewhere(connection: Connection, symptom: str | None) -> int:
    """How many cases other stores alone know of: they have neither a day nor a vehicle.

    One that came here by its code is this store's own, whatever its export says of it.
    """
    total = select(func.coalesce(func.sum(cause_sums.c.total), 0)).where(cause_sums.c.origin != "")
    if symptom is not None:
        total = total.where(cause_sums.c.symptom == symptom)
    twice = counted_twice(connection, () if symptom is None else (symptom,))
    return int(connection.scalar(total) or 0) - sum(bool(each.cause) for each in twice)


def by_ending(connection: Connection, wanted: Wanted) -> dict[str, tuple[int, int]]:
    """State -> how many cases there are, and how many of them are confirmed."""
    rows = rows_that_fit(wanted, {}, cases.c.state, cases.c.confirmed, confirmed=None)
    sums = select(rows.c.state, rows.c.confirmed, func.count().label("n"))
    found: dict[str, tuple[int, int]] = {}
    for row in connection.execute(sums.group_by(rows.c.state, rows.c.confirmed)):
        number, confirmed = found.get(row.state, (0, 0))
        found[row.state] = (number + row.n, confirmed + (row.n if row.confirmed else 0))
    return dict(sorted(found.items()))


def by_month(connection: Connection, wanted: Wanted, today: Today) -> tuple[ByMonth, ...]:
    """Confirmed cases by symptom, cause, year and month."""
    rows = rows_that_fit(wanted, today, _part("month", 1, 7))
    key = (rows.c.symptom, rows.c.cause, rows.c.month)
    sums = select(*key, func.count().label("n")).group_by(*key).order_by(*key)
    return tuple(
        ByMonth(row.symptom, row.cause, int(row.month[:4]), int(row.month[5:]), row.n)
        for row in connection.execute(sums)
    )


def came_back(
    connection: Connection, wanted: Wanted, today: Today, months: int, end: datetime
) -> tuple[CameBack, ...]:
    """For each cause, in how many vehicles it was there again within so many calendar months.

    Each vehicle counts once for a cause, from the first of its cases in the selection that is over; `end` is
    the moment up to which returns are known. Several cases of one day are one visit. Cases without a
    vehicle's label are left out.
    """
    visits = _visits(wanted, today)
    whose = (visits.c.vehicle_key, visits.c.symptom, visits.c.cause)
    order: Any = {"partition_by": whose, "order_by": visits.c.opened}
    ordered = select(
        visits.c.symptom,
        visits.c.cause,
        visits.c.opened,
        func.lead(visits.c.opened).over(**order).label("again"),
        func.row_number().over(**order).label("nth"),
    ).subquery()
    watched = ordered.c.opened <= months_before(end, months)
    returned = and_(watched, _within(ordered.c.opened, ordered.c.again, months))
    sums = (
        select(
            ordered.c.symptom,
            ordered.c.cause,
            _how_many(watched).label("watched"),
            _how_many(returned).label("came_back"),
            func.count().label("vehicles"),
        )
        .where(ordered.c.nth == 1)
        .group_by(ordered.c.symptom, ordered.c.cause)
        .order_by(ordered.c.symptom, ordered.c.cause)
    )
    return tuple(
        CameBack(row.symptom, row.cause, row.watched, row.came_back, row.vehicles - row.watched)
        for row in connection.execute(sums)
    )


def vehicles_by_number(connection: Connection, wanted: Wanted) -> dict[int, int]:
    """How many vehicles have just so many confirmed cases, for each number that there is."""
    each = _by_vehicle(wanted)
    sums = select(each.c.n, func.count().label("vehicles")).group_by(each.c.n).order_by(each.c.n)
    return {row.n: row.vehicles for row in connection.execute(sums)}


def vehicles_with(connection: Connection, wanted: Wanted, least: int, limit: int) -> tuple[OfVehicle, ...]:
    """The vehicles with at least so many confirmed cases, the most first, no more than `limit`."""
    each = _by_vehicle(wanted)
    most = select(each).where(each.c.n >= least).order_by(each.c.n.desc(), each.c.vehicle_key).limit(limit)
    return tuple(OfVehicle(row.label.strip(), row.n) for row in connection.execute(most))


def again_and_again(
    connection: Connection, wanted: Wanted, today: Today, limit: int
) -> tuple[OfVehicle, ...]:
    """Vehicles that had one cause on two or more days, the most often first, no more than `limit`."""
    visits = _visits(wanted, today)
    whose = (visits.c.vehicle_key, visits.c.symptom, visits.c.cause)
    times = func.count().label("n")
    often = (
        select(*whose, times, func.max(visits.c.label).label("label"))
        .group_by(*whose)
        .having(func.count() >= 2)
        .order_by(times.desc(), *whose)
        .limit(limit)
    )
    return tuple(
        OfVehicle(row.label.strip(), row.n, row.symptom, row.cause) for row in connection.execute(often)
    )


def months_before(end: datetime, months: int) -> datetime:
    """The same time so many calendar months earlier; a day that the month has not is its last.

    >>> months_before(datetime(2026, 5, 31), 3)
    datetime.datetime(2026, 2, 28, 0, 0)
    """
    index = end.year * 12 + end.month - 1 - months
    for day in range(end.day, 0, -1):
        try:
            return end.replace(year=index // 12, month=index % 12 + 1, day=day)
        except ValueError:
            continue
    raise AssertionError("every month has a first day")


def rows_that_fit(
    wanted: Wanted, today: Today, *columns: ColumnElement[Any], confirmed: bool | None = True
) -> Subquery:
    """Symptom and today's cause of the cases wanted that are confirmed (None: of all), with further columns.

    What is grouped by is a column of this: a server takes two equal expressions with values for two. They are
    put so that no index gives the order: reading all cases as they lie and sorting what is wanted of them is
    several times quicker than looking each of them up. What is wanted is found by an index as ever.
    """
    of = cases.c
    fits = query(replace(wanted, confirmed=None)).order_by(None)
    if confirmed is not None:
        fits = fits.where(func.coalesce(of.confirmed, false()).is_(confirmed))
    renamed = [(and_(of.symptom == at[0], of.cause == at[1]), id) for at, id in sorted(today.items())]
    cause = case(*renamed, else_=of.cause) if renamed else of.cause
    return fits.with_only_columns(
        *map(_without_index, (of.symptom, *columns)), cause.label("cause")
    ).subquery()


def _without_index(column: ColumnElement[Any]) -> ColumnElement[Any]:
    indexed = (cases.c.symptom, cases.c.state, cases.c.vehicle_key)
    same = next((each for each in indexed if each is column), None)
    return column if same is None else same.concat("").label(same.name)


def _visits(wanted: Wanted, today: Today) -> Subquery:
    """The days on which a vehicle with a label had a cause that was put right, each with its first case."""
    of = cases.c
    rows = rows_that_fit(wanted, today, of.vehicle_key, of.vehicle, of.opened, of.state, _part("day", 1, 10))
    key = (rows.c.vehicle_key, rows.c.symptom, rows.c.cause)
    first = func.min(rows.c.opened, type_=of.opened.type).label("opened")
    over = or_(*(rows.c.state == state for state in OVER))
    visits = select(*key, first, func.max(rows.c.vehicle).label("label"))
    return visits.where(rows.c.vehicle_key != "", over).group_by(*key, rows.c.day).subquery()


def _by_vehicle(wanted: Wanted) -> Subquery:
    rows = rows_that_fit(wanted, {}, cases.c.vehicle_key, cases.c.vehicle)
    each = select(rows.c.vehicle_key, func.max(rows.c.vehicle).label("label"), func.count().label("n"))
    return each.where(rows.c.vehicle_key != "").group_by(rows.c.vehicle_key).subquery()


def _part(name: str, start: int, length: int) -> ColumnElement[str]:
    """Some letters of the moment of opening, which is text that begins 2026-01-31T12."""
    return func.substr(cases.c.opened, start, length, type_=String()).label(name)


def _within(first: ColumnElement[datetime], then: ColumnElement[datetime], months: int) -> Any:
    """Whether `then` is no later than the same day and time so many calendar months after `first`."""

    def index(moment: ColumnElement[datetime]) -> ColumnElement[int]:
        year, month = (cast(func.substr(moment, *place), Integer) for place in ((1, 4), (6, 2)))
        return year * 12 + month

    apart = index(then) - index(first)
    return or_(apart < months, and_(apart == months, func.substr(then, 9) <= func.substr(first, 9)))


def _how_many(condition: Any) -> ColumnElement[int]:
    return func.sum(case((condition, 1), else_=0))
