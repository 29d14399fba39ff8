"""A quick look into a SQLite store at the start: is there anything to ask or to take up?

Takes a few milliseconds, with the standard library alone; the whole store is opened only when it is needed.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from diagnose.cases.addresses import address_of
from diagnose.cases.rounds_records import RoundHead, Stage
from diagnose.cases.stamp import VERSION, head_of, reading_uri
from diagnose.terms import DiagnoseError
from diagnose.terms.rounds import ROUNDS, RoundId

_AWAITING = (
    "SELECT EXISTS (SELECT 1 FROM cases WHERE confirmed = 0 AND asked_outcome = 0"
    " AND state IN ('cured', 'referred', 'stopped'))"
)
_RESUMABLE = "SELECT EXISTS (SELECT 1 FROM cases WHERE state IN ('open', 'left-off') AND source IS NULL)"
_LATEST_ROUNDS = (
    "SELECT id, round, stage, vehicle, changed FROM rounds"
    " WHERE id IN (SELECT max(id) FROM rounds GROUP BY round, vehicle_key) AND stage <> 'ended'"
)


@dataclass(frozen=True, slots=True)
class Peek:
    """What a quick look told; None where it could not tell."""

    awaits_outcome: bool | None = None
    """Some ended case is unconfirmed, and nobody has been asked about it yet."""
    resumable: bool | None = None
    """Some case of one's own is open or left off; one that was brought in has no walk to go on with."""
    rounds: tuple[RoundHead, ...] | None = None
    """Of each vehicle the latest round of each name, where that is not at its end."""


def peek(url: str) -> Peek:
    """Looks, changes nothing and never raises: whatever is wrong will be told when the store is opened.

    A store that is not there holds nothing; one on a server is not looked into.
    """
    try:
        path = address_of(url).path
        if path is None:
            return Peek()
        head = head_of(path)
        if head != "ours":
            return Peek(awaits_outcome=False, resumable=False, rounds=()) if head == "nothing" else Peek()
        with closing(sqlite3.connect(reading_uri(path), uri=True, timeout=0.1)) as connection:
            if _ask(connection, "PRAGMA user_version") != VERSION:
                return Peek()
            asked = bool(_ask(connection, _AWAITING)), bool(_ask(connection, _RESUMABLE))
            return Peek(*asked, tuple(map(_head, connection.execute(_LATEST_ROUNDS))))
    except (DiagnoseError, sqlite3.Error, OSError, ValueError):
        return Peek()


def _head(row: tuple[int, RoundId, Stage, str, str]) -> RoundHead:
    number, round, stage, vehicle, changed = row
    if round not in ROUNDS or stage not in get_args(Stage):
        raise ValueError(f"no round is {round!r} and {stage!r}")
    return RoundHead(number, round, stage, vehicle, datetime.fromisoformat(changed))


def _ask(connection: sqlite3.Connection, question: str) -> object:
    return connection.execute(question).fetchone()[0]
