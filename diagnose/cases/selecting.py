"""Which cases somebody wants to see, as a value, and the query for them.

Imports SQLAlchemy: load this module late.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, false, or_, select, tuple_

from diagnose.cases.tables import cases, key_of_vehicle
from diagnose.terms import State


@dataclass(frozen=True, slots=True)
class Wanted:
    """Cases that fit everything that is set here; what is None, or empty, asks for nothing.

    Each of `symptom`, `vehicle`, `states` and the moments of `opened` is found by an index.
    """

    symptom: str | None = None
    states: tuple[State, ...] = ()
    confirmed: bool | None = None
    cause: str | None = None
    """The id under which a case was confirmed."""
    vehicle: str | None = None
    """A label in any capitals; an empty one asks for the cases without a label."""
    own: bool = False
    """Only cases of this store's own, none that was brought in."""
    opened_from: datetime | None = None
    opened_before: datetime | None = None
    changed_from: datetime | None = None
    beyond: tuple[datetime, int] | None = None
    """Only those after this one (its moment of opening and its number) in the order of the answer."""
    by_change: bool = False
    """In the order of their last lines instead of their opening; `beyond` has that moment then."""
    oldest_first: bool = False
    limit: int | None = None


def query(wanted: Wanted) -> Select[Any]:
    """The rows of `cases`, the newest first unless `oldest_first`; of one moment, by number."""
    order = (cases.c.changed if wanted.by_change else cases.c.opened, cases.c.id)
    if not wanted.oldest_first:
        order = (order[0].desc(), order[1].desc())  # type: ignore[assignment]
    return select(cases).where(*_conditions(wanted)).order_by(*order).limit(wanted.limit)


def _conditions(wanted: Wanted) -> list[ColumnElement[bool]]:
    of = cases.c
    found: list[ColumnElement[bool]] = []
    if wanted.symptom is not None:
        found.append(of.symptom == wanted.symptom)
    if wanted.states:
        found.append(or_(false(), *(of.state == state for state in wanted.states)))
    if wanted.confirmed is not None:
        found.append(of.confirmed.is_(wanted.confirmed))
    if wanted.cause is not None:
        found.append(of.cause == wanted.cause)
    if wanted.vehicle is not None:
        found.append(of.vehicle_key == key_of_vehicle(wanted.vehicle))
    if wanted.own:
        found.append(of.source.is_(None))
    if wanted.opened_from is not None:
        found.append(of.opened >= wanted.opened_from)
    if wanted.opened_before is not None:
        found.append(of.opened < wanted.opened_before)
    if wanted.changed_from is not None:
        found.append(of.changed >= wanted.changed_from)
    if wanted.beyond is not None:
        place = tuple_(of.changed if wanted.by_change else of.opened, of.id)
        found.append(place > wanted.beyond if wanted.oldest_first else place < wanted.beyond)
    return found
