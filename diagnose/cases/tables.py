"""The store's tables, for SQLite and PostgreSQL alike. Imports SQLAlchemy: load this module late.

Columns of type Moment hold UTC as text of one fixed width, so that both databases give back what went in, to
the microsecond, and sort it by time.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Dialect,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)
from sqlalchemy.types import TypeDecorator

from diagnose.cases.refusals import Scrambled


class Moment(TypeDecorator[datetime]):
    """A point in time with a zone; stored as `2026-01-31T12:00:00.000000Z`."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """The text to store. Raises ValueError for a time without a zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value!r} has no time zone")
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """The time that the text stands for, in UTC. Raises Scrambled for a text that is no time."""
        try:
            return None if value is None else datetime.fromisoformat(value)
        except (TypeError, ValueError) as error:
            raise Scrambled(f"{value!r} is no moment") from error


metadata = MetaData()

case_store = Table(
    "case_store",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("since", Moment, nullable=False),
)
"""One row for each version that the store has had; the highest is the one that it has."""

cases = Table(
    "cases",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("symptom", Text, nullable=False),
    Column("tree_digest", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("opened", Moment, nullable=False),
    Column("changed", Moment, nullable=False),
    Column("vehicle", Text, nullable=False),
    Column("referral", Text, nullable=False),
    Column("points_to", Text, nullable=False),
    Column("confirmed", Boolean, nullable=False),
    Column("cause", Text, nullable=False),
    Column("confirmed_on", Moment, nullable=True),
    Column("confirmed_lines", Integer, nullable=False),
    Column("asked_outcome", Boolean, nullable=False),
    Column("lines", Integer, nullable=False),
    Column("vehicle_key", Text, nullable=False),
    Column("source", Text, nullable=True),
    Column("source_case", Text, nullable=True),
    Index("cases_unconfirmed", "confirmed", "asked_outcome", "opened", "id"),
    Index("cases_by_state", "state", "changed", "id"),
    Index("cases_by_opened", "opened", "id"),
    Index("cases_by_changed", "changed"),
    Index("cases_by_symptom", "symptom", "opened", "id"),
    Index("cases_by_vehicle", "vehicle_key", "source", "opened", "id"),
    Index("cases_by_source", "source", "source_case", unique=True),
    sqlite_autoincrement=True,
)
"""`lines` counts the journal's lines; `confirmed_lines` those that there were at the confirmation.

`vehicle_key` is the label by which a vehicle is known again (`key_of_vehicle`). `source` and `source_case`
say whose case it is by which number, and are empty for one of this store's own; a number counts once.
"""

entries = Table(
    "entries",
    metadata,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("time", Moment, nullable=False),
    Column("kind", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("answer", Text, nullable=True),
    Column("value", Double, nullable=True),
    Column("uncertainty", Double, nullable=True),
    Column("ahead", Boolean, nullable=False),
)

cause_sums = Table(
    "cause_sums",
    metadata,
    Column("symptom", Text, primary_key=True),
    Column("cause", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),
    Column("ending", Text, primary_key=True),
    Column("origin", Text, primary_key=True),
    Column("total", Integer, nullable=False),
)

answer_sums = Table(
    "answer_sums",
    metadata,
    Column("symptom", Text, primary_key=True),
    Column("cause", Text, primary_key=True),
    Column("check_id", Text, primary_key=True),
    Column("answer", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),
    Column("ending", Text, primary_key=True),
    Column("origin", Text, primary_key=True),
    Column("total", Integer, nullable=False),
)

unconfirmed_sums = Table(
    "unconfirmed_sums",
    metadata,
    Column("symptom", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),
    Column("ending", Text, primary_key=True),
    Column("origin", Text, primary_key=True),
    Column("total", Integer, nullable=False),
)
"""How many cases are over without anybody having told what the matter was.

In all three tables of sums `origin` is empty for the cases of this store, else it names the store that they
were merged from. A case that came to that store by its code stands singly: behind the name and a slash each
are the store that it was opened in, as its code tells it, and its number there. Sums that fall back to zero
keep their row: a few bytes, against a lock taken to delete it.
"""

SUMS = (cause_sums, answer_sums, unconfirmed_sums)

store_identity = Table(
    "store_identity",
    metadata,
    Column("origin", String(16), primary_key=True),
    Column("exports", Integer, nullable=False),
)
"""One row: the name, made at random, under which this store's sums go to others; its last export's number."""

merged = Table(
    "merged",
    metadata,
    Column("origin", String(16), primary_key=True),
    Column("number", Integer, nullable=False),
    Column("digest", Text, nullable=False),
    Column("received", Moment, nullable=False),
)
"""The export of each other store that stands in the sums."""

rounds = Table(
    "rounds",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("round", Text, nullable=False),
    Column("digest", Text, nullable=False),
    Column("vehicle", Text, nullable=False),
    Column("vehicle_key", Text, nullable=False),
    Column("stage", Text, nullable=False),
    Column("begun", Moment, nullable=False),
    Column("changed", Moment, nullable=False),
    Column("who", Text, nullable=False),
    Column("lines", Integer, nullable=False),
    Index("rounds_by_stage", "stage", "changed", "id"),
    Index("rounds_by_vehicle", "vehicle_key", "begun", "id"),
    sqlite_autoincrement=True,
)
"""Rounds that were begun. `digest` is that of the round's files, `lines` counts those of `round_lines`."""

round_lines = Table(
    "round_lines",
    metadata,
    Column("round_id", Integer, ForeignKey("rounds.id"), primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("time", Moment, nullable=False),
    Column("noted", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("answer", Text, nullable=True),
    Column("who", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("case_id", Integer, ForeignKey("cases.id"), nullable=True),
    Index("round_lines_by_case", "case_id"),
)
"""What was noted on a round, one line each; lines are only ever added (`rounds_records.RoundLine`)."""


def key_of_vehicle(label: str) -> str:
    """What makes two labels the same vehicle: capitals and spaces at the ends make no difference.

    >>> key_of_vehicle(" Van 7")
    'van 7'
    """
    return label.strip().casefold()
