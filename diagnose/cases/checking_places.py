"""Which cases there are by symptom and cause, for telling those that have no place in any tree at hand.

Imports SQLAlchemy: load this module late. Counts come by group; the numbers of single cases are asked for
only where something is to be told of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Connection, Integer, cast, false, func, select

from diagnose.cases.tables import SUMS, cases

CLOCKS_APART = timedelta(days=2)
"""So far may the clocks, and the days, of several machines be apart."""

_CONFIRMED = func.coalesce(cases.c.confirmed, false())


@dataclass(frozen=True, slots=True)
class Group:
    """The cases of one symptom, or those of it that were confirmed with one cause."""

    symptom: str
    cases: int
    cause: str = ""
    numbers: tuple[int, ...] = ()
    """The first of their numbers, where they were asked for."""


def numbers(connection: Connection) -> tuple[int, int, int]:
    """How many cases there are, how many of them are confirmed, and how many sums count some of them."""
    confirmed = func.coalesce(func.sum(cast(cases.c.confirmed, Integer)), 0)
    total, told = connection.execute(select(func.count(), confirmed).select_from(cases)).one()
    sums = sum(
        int(connection.scalar(select(func.count()).where(table.c.origin == "", table.c.total != 0)) or 0)
        for table in SUMS
    )
    return int(total), int(told), sums


def by_symptom(connection: Connection) -> Iterator[Group]:
    """Every symptom of some case, in alphabetical order."""
    wanted = select(cases.c.symptom, func.count()).group_by(cases.c.symptom)
    for symptom, number in sorted(map(tuple, connection.execute(wanted))):
        yield Group(symptom, int(number))


def by_confirmed_cause(connection: Connection) -> Iterator[Group]:
    """Every symptom and cause of some confirmed case, in alphabetical order."""
    key = (cases.c.symptom, cases.c.cause)
    wanted = select(*key, func.count()).where(_CONFIRMED).group_by(*key)
    for symptom, cause, number in sorted(map(tuple, connection.execute(wanted))):
        yield Group(symptom, int(number), cause)


def with_numbers(connection: Connection, group: Group, most: int = 10) -> Group:
    """The same group with the numbers of its first cases."""
    wanted: list[ColumnElement[bool]] = [cases.c.symptom == group.symptom]
    if group.cause:
        wanted += [_CONFIRMED, cases.c.cause == group.cause]
    found = connection.scalars(select(cases.c.id).where(*wanted).order_by(cases.c.id).limit(most))
    return Group(group.symptom, group.cases, group.cause, tuple(map(int, found)))


def opened_after(connection: Connection, now: datetime, most: int = 20) -> tuple[tuple[int, datetime], ...]:
    """(case, moment) of cases whose beginning is yet to come: a clock was wrong, and they date wrongly."""
    wanted = select(cases.c.id, cases.c.opened).where(cases.c.opened > now + CLOCKS_APART)
    rows = connection.execute(wanted.order_by(cases.c.opened, cases.c.id).limit(most))
    return tuple((int(case), moment) for case, moment in rows)
