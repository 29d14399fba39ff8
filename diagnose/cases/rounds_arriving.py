"""A round that was gone through elsewhere, such as on a phone, comes to this store.

Imports SQLAlchemy: load this module late. The same round of the same source is one round here, whoever brings
it and however often: the source's label, which round it is and the minute in which it began say which.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, select, text

from diagnose.cases.rounds_records import RoundLine, RoundRecord
from diagnose.cases.rounds_store import add_lines, lines_of_round, round_kept
from diagnose.cases.store import CaseStore
from diagnose.cases.tables import key_of_vehicle, rounds
from diagnose.terms import DiagnoseError


class ArrivedForAnother(DiagnoseError):
    """The round is kept here already, of a vehicle with another name."""


def take_in_round(
    store: CaseStore, arriving: RoundRecord, fresh: Callable[[tuple[RoundLine, ...]], Sequence[RoundLine]]
) -> tuple[RoundRecord, bool]:
    """The round as it is kept then, and whether it was here before; all of it is one transaction.

    `arriving` says what it is of; its number and its lines do not matter. `fresh` gives the lines to add, by
    those that are here. Raises ArrivedForAnother.
    """
    with store.writing() as connection:
        if connection.dialect.name == "postgresql":
            # Two who bring one code at once: the second has to see what the first began.
            connection.execute(text("LOCK TABLE rounds IN SHARE ROW EXCLUSIVE MODE"))
        here = _here(connection, arriving)
        if here is not None and here.vehicle_key != key_of_vehicle(arriving.vehicle):
            of = f'"{here.vehicle}"' if here.vehicle else "a vehicle without a name"
            raise ArrivedForAnother(f"this round is kept here already, as round {here.id} of {of}")
        number = _begun(connection, arriving) if here is None else int(here.id)
        lines = fresh(lines_of_round(connection, number))
        if lines:
            add_lines(connection, number, lines)
    return round_kept(store, number), here is not None


def _here(connection: Connection, arriving: RoundRecord) -> Row[Any] | None:
    wanted = select(rounds).where(
        rounds.c.round == arriving.round, rounds.c.who == arriving.who, rounds.c.begun == arriving.begun
    )
    return connection.execute(wanted.order_by(rounds.c.id).limit(1)).first()


def _begun(connection: Connection, arriving: RoundRecord) -> int:
    values = {
        "round": arriving.round,
        "digest": arriving.digest,
        "vehicle": arriving.vehicle,
        "vehicle_key": key_of_vehicle(arriving.vehicle),
        "stage": arriving.stage,
        "begun": arriving.begun,
        "changed": arriving.changed,
        "who": arriving.who,
        "lines": 0,
    }
    made = connection.execute(rounds.insert().values(values)).inserted_primary_key
    return int(made[0]) if made else 0
