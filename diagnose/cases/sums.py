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

from sqlalchemy import Connection, Select, String, Table, func, select, type_coerce
from sqlalchemy.dialects import postgresql, sqlite

from diagnose.cases.journal import Counted, change_of_sums
from diagnose.cases.tables import answer_sums, cases, cause_sums
from diagnose.terms import EndedCases, Tally

OVER = ("cured", "referred", "stopped")
"""The states of a case that is over."""


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
    """The sums of one symptom, added over years and by ending, each year weighted by `weight`.

    Costs as many rows as the symptom has causes times answers times years, whatever the number of confirmed
    cases; the cases that nobody has confirmed are counted one by one, found by their index.
    """
    causes, answers, ended = _Sums(), _Sums(), _Sums()
    for row in connection.execute(select(cause_sums).where(cause_sums.c.symptom == symptom)):
        count = row.total * weight(row.year, now, half_life)
        causes.add(row.cause, row.ending, count)
        ended.add("confirmed", row.ending, count)
    for row in connection.execute(select(answer_sums).where(answer_sums.c.symptom == symptom)):
        key = (row.cause, row.check_id, row.answer)
        answers.add(key, row.ending, row.total * weight(row.year, now, half_life))
    for row in connection.execute(_unconfirmed(symptom)):
        ended.add("unconfirmed", row.state, row.number * weight(int(row.year), now, half_life))
    endings = {ending: _ended(ending, causes, answers, ended) for ending in ended.endings()}
    return Tally(causes.all(), answers.all(), endings)


def _unconfirmed(symptom: str) -> Select[Any]:
    """How many cases ended in which year and way without anybody telling what the matter was."""
    year = func.substr(type_coerce(cases.c.opened, String), 1, 4).label("year")
    return (
        select(cases.c.state, year, func.count().label("number"))
        .where(cases.c.confirmed.is_(False), cases.c.symptom == symptom, cases.c.state.in_(OVER))
        .group_by(cases.c.state, year)
    )


def _ended(ending: str, causes: _Sums, answers: _Sums, ended: _Sums) -> EndedCases:
    confirmed = ended.of(ending).get("confirmed", 0.0)
    return EndedCases(
        ended=math.fsum(ended.of(ending).values()),
        confirmed=confirmed,
        causes=causes.of(ending),
        answers=answers.of(ending),
    )


class _Sums:
    """Terms to be added by key and ending; no sum depends on the order in which rows were handed out."""

    def __init__(self) -> None:
        self._terms: defaultdict[Any, defaultdict[str, list[float]]] = defaultdict(lambda: defaultdict(list))

    def add(self, key: Any, ending: str, count: float) -> None:
        self._terms[key][ending].append(count)

    def endings(self) -> list[str]:
        """The endings of which something is counted, in alphabetical order."""
        return sorted({id for key in self._terms for id in self._terms[key] if any(self._terms[key][id])})

    def of(self, ending: str) -> dict[Any, float]:
        """The sums over one ending by key, in the order of the keys, without those that are nought."""
        sums = ((key, math.fsum(self._terms[key].get(ending, ()))) for key in sorted(self._terms))
        return {key: total for key, total in sums if total}

    def all(self) -> dict[Any, float]:
        """The sums over all endings."""
        sums = (
            (key, math.fsum(n for each in by_ending.values() for n in each))
            for key, by_ending in sorted(self._terms.items())
        )
        return {key: total for key, total in sums if total}


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
