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

from sqlalchemy import Connection, Select, Table, func, select
from sqlalchemy.dialects import postgresql, sqlite

from diagnose.cases.duplicates import duplicates
from diagnose.cases.journal import Counted, change_of_sums
from diagnose.cases.tables import answer_sums, cause_sums, unconfirmed_sums
from diagnose.terms import EndedCases, State, Tally

OVER: tuple[State, ...] = ("cured", "referred", "stopped")
"""The states of a case that is over."""


def move_sums(connection: Connection, before: Counted | None, after: Counted | None) -> None:
    """Makes the sums count a case as `after` where they counted it as `before` (None: not at all).

    Costs one statement for each cause and answer of this one case, each found by its key.
    """
    causes, answers = change_of_sums(before, after)
    add_to_sums(connection, cause_sums, causes)
    add_to_sums(connection, answer_sums, answers)


def move_unconfirmed(connection: Connection, before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    """The same for the cases that are over and that nobody has confirmed; each is a row of `cases`."""
    changes: dict[Any, int] = defaultdict(int)
    for case, sign in ((before, -1), (after, 1)):
        if case["state"] in OVER and not case["confirmed"]:
            changes[case["symptom"], case["opened"].year, case["state"]] += sign
    add_to_sums(connection, unconfirmed_sums, {key: n for key, n in changes.items() if n})


def add_to_sums(connection: Connection, table: Table, changes: Mapping[Any, int], origin: str = "") -> None:
    """Adds to one of the tables of sums; a key is all its columns but origin and total, in their order."""
    if not changes:
        return
    key = [column.name for column in table.primary_key]
    # Always in one order: two confirmations that each hold a row the other wants would wait for ever.
    rows = [dict(zip(key, (*at, origin), strict=True), total=changes[at]) for at in sorted(changes)]
    insert = postgresql.insert(table) if connection.dialect.name == "postgresql" else sqlite.insert(table)
    added = {"total": table.c.total + insert.excluded.total}
    connection.execute(insert.on_conflict_do_update(index_elements=key, set_=added), rows)


def read_tally(connection: Connection, symptom: str, now: datetime, half_life: float | None) -> Tally:
    """The sums of one symptom, added over years and by ending, each year weighted by `weight`.

    This store's own cases and what was merged from others count alike, and a case that is in both counts once
    (`duplicates`). Costs as many rows as the symptom has causes times answers times years times stores,
    whatever the number of cases.
    """
    causes, answers, ended = _Sums(), _Sums(), _Sums()
    twice = duplicates(connection, symptom)
    for row in connection.execute(_of(cause_sums, symptom)):
        total = int(row.total) - twice.causes[row.cause, row.year, row.ending]
        count = total * weight(row.year, now, half_life)
        causes.add(row.cause, row.ending, count)
        ended.add("confirmed", row.ending, count)
    for row in connection.execute(_of(answer_sums, symptom)):
        key = (row.cause, row.check_id, row.answer)
        total = int(row.total) - twice.answers[*key, row.year, row.ending]
        answers.add(key, row.ending, total * weight(row.year, now, half_life))
    for row in connection.execute(_of(unconfirmed_sums, symptom)):
        total = int(row.total) - twice.unconfirmed[row.year, row.ending]
        ended.add("unconfirmed", row.ending, total * weight(row.year, now, half_life))
    endings = {ending: _ended(ending, causes, answers, ended) for ending in ended.endings()}
    return Tally(causes.all(), answers.all(), endings)


def _of(table: Table, symptom: str) -> Select[Any]:
    """One symptom's sums over all stores, by everything else that they are kept by."""
    key = [column for column in table.primary_key if column.name not in ("symptom", "origin")]
    total = func.sum(table.c.total).label("total")
    return select(*key, total).where(table.c.symptom == symptom).group_by(*key)


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
