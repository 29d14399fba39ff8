"""Exports of other stores, made by hand, and what a store has to hold once they are merged."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from diagnose.cases.exchange import TABLES, Export
from diagnose.cases.merging import Merged, standing
from diagnose.cases.store import CaseStore
from diagnose.cases.tables import SUMS

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LATER = NOON + timedelta(days=9)
NORTH, SOUTH, WEST = "0" * 15 + "a", "0" * 15 + "b", "0" * 15 + "c"


def export(origin: str, number: int, cases: int = 3) -> Export:
    """Cases of one cause; the same for the same arguments."""
    return Export(
        origin,
        number,
        causes=(("hob", "grit", 2026, "cured", cases),),
        answers=(("hob", "grit", "flame", "weak", 2026, "cured", cases),),
        unconfirmed=(("hob", 2026, "referred", 2),),
    )


def sums_of(store: CaseStore) -> set[tuple[Any, ...]]:
    """Every row of the three tables that counts something, and what stands merged."""
    with store.reading() as connection:
        rows = {
            (table.name, *row) for table in SUMS for row in connection.execute(table.select()) if row.total
        }
    return rows | {("merged", each.origin, each.number, each.digest) for each in standing(store)}


def rows_of(export: Export) -> set[tuple[Any, ...]]:
    """What the store has to hold of an export; the origin is the last but one of the columns."""
    rows = {
        (table.name, *row[:-1], export.origin, row[-1])
        for name, table in zip(TABLES, SUMS, strict=True)
        for row in getattr(export, name)
    }
    return rows | {("merged", export.origin, export.number, export.digest)}


def outcomes(done: Sequence[Merged]) -> list[str]:
    return [each.outcome for each in done]
