"""The sums over confirmed cases: kept up to date at each confirmation, read back with decay.

Imports SQLAlchemy: load this module late. What is stored is whole counts by year and ending, never decayed
figures, so that the half-life may change at any time and workshops can add their sums together.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Table, select
from sqlalchemy.dialects import postgresql, sqlite

from diagnose.cases.journal import Counted, change_of_sums
from diagnose.cases.tables import answer_sums, cause_sums
from diagnose.terms import Tally


def move_sums(connection: Connection, before: Counted | None, after: Counted | None) -> None:
    """Makes the sums count a case as `after` where they counted it as `before` (None: not at all).

    Costs one statement for each cause and answer of this one case, each found by its key.
    """
    causes, answers = change_of_sums(before, after)
    _add(connection, cause_sums, causes)
    _add(connection, answer_sums, answers)


def _add(connection: Connection, table: Table, changes: Mapping[Any, int]) -> None:
    if not changes:
        return
    key = [column.name for column in table.primary_key]
    # Always in one order: two confirmations that each hold a row the other wants would wait for ever.
    rows = [dict(zip(key, at, strict=True), total=changes[at]) for at in sorted(changes)]
    insert = postgresql.insert(table) if connection.dialect.name == "postgresql" else sqlite.insert(table)
    added = {"total": table.c.total + insert.excluded.total}
    connection.execute(insert.on_conflict_do_update(index_elements=key, set_=added), rows)


def read_tally(connection: Connection, symptom: str, now: datetime, half_life: float | None) -> Tally:
    """The sums of one symptom, added over years and endings, each year weighted by `weight`.

    Costs as many rows as the symptom has causes times answers times years, whatever the number of cases.
    """
    causes: defaultdict[str, list[float]] = defaultdict(list)
    for row in connection.execute(select(cause_sums).where(cause_sums.c.symptom == symptom)):
        causes[row.cause].append(row.total * weight(row.year, now, half_life))
    answers: defaultdict[tuple[str, str, str], list[float]] = defaultdict(list)
    for row in connection.execute(select(answer_sums).where(answer_sums.c.symptom == symptom)):
        key = (row.cause, row.check_id, row.answer)
        answers[key].append(row.total * weight(row.year, now, half_life))
    # fsum, for the total must not depend on the order in which a database hands out its rows.
    return Tally(
        causes={cause: total for cause in sorted(causes) if (total := math.fsum(causes[cause]))},
        answers={key: total for key in sorted(answers) if (total := math.fsum(answers[key]))},
    )


def weight(year: int, now: datetime, half_life: float | None) -> float:
    """What a case of `year` counts at `now`: 0.5 ** (age / half_life), with both in years; 1 without one.

    Sums are kept by year, so the age is taken from the middle of that year, and is never less than none.
    Raises ValueError for a half-life that is not above zero.

    >>> weight(2024, datetime(2026, 7, 2, 12, tzinfo=UTC), 2.0)
    0.5
    """
    if half_life is None:
        return 1.0
    if not half_life > 0:
        raise ValueError(f"a half-life of {half_life} years is not above zero")
    return float(0.5 ** (max(0.0, _in_years(now) - (year + 0.5)) / half_life))


def _in_years(moment: datetime) -> float:
    utc = moment.astimezone(UTC)
    start = datetime(utc.year, 1, 1, tzinfo=UTC)
    return utc.year + (utc - start) / (datetime(utc.year + 1, 1, 1, tzinfo=UTC) - start)
