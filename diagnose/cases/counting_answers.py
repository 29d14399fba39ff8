"""Counts over confirmed cases by what was answered at a check, or stands of a fact.

Imports SQLAlchemy: load this module late.
"""

from __future__ import annotations

from collections import Counter

from sqlalchemy import Connection, String, Subquery, and_, cast, exists, func, select

from diagnose.cases.counting import Today, rows_that_fit
from diagnose.cases.selecting import Wanted
from diagnose.cases.tables import answer_sums, cases, entries
from diagnose.terms import NOT_SURE


def by_answer(
    connection: Connection, wanted: Wanted, today: Today, check: str
) -> dict[tuple[str, str, str], int]:
    """(symptom, cause, answer) -> confirmed cases in which that check or fact was answered so.

    The last answer that stood at the confirmation, *not sure* left out: what the sums hold, so they are read
    where all years and vehicles are wanted. Else the journals are, unless no case here has the check.
    """
    sums = _in_sums(connection, wanted, check)
    if not sums or (wanted.vehicle, wanted.opened_from, wanted.opened_before) == (None, None, None):
        found: Counter[tuple[str, str, str]] = Counter()
        for symptom, cause, answer, total in sums:
            found[symptom, today.get((symptom, cause), cause), answer] += total
        return dict(found)
    lines = _standing_lines(wanted, today, check)
    key = (lines.c.symptom, lines.c.cause, lines.c.answer)
    counts = select(*key, func.count().label("n")).where(lines.c.nth == 1, lines.c.answer != NOT_SURE)
    rows = connection.execute(counts.group_by(*key).order_by(*key))
    return {(row.symptom, row.cause, row.answer): row.n for row in rows}


def _in_sums(connection: Connection, wanted: Wanted, check: str) -> list[tuple[str, str, str, int]]:
    """What this store's own sums hold of a check: (symptom, id at the confirmation, answer, total)."""
    of = answer_sums.c
    key = (of.symptom, of.cause, of.answer)
    total = func.sum(of.total).label("n")
    sums = select(*key, total).where(of.check_id == check, of.origin == "", of.total > 0)
    if wanted.symptom is not None:
        sums = sums.where(of.symptom == wanted.symptom)
    rows = connection.execute(sums.group_by(*key).order_by(*key))
    return [(row.symptom, row.cause, row.answer, int(row.n)) for row in rows]


def _standing_lines(wanted: Wanted, today: Today, check: str) -> Subquery:
    """The findings of a check that stood at the confirmation, the latest of each case with `nth` 1."""
    said, back, again = entries.alias("said"), entries.alias("back"), entries.alias("again")
    confirmed = rows_that_fit(wanted, today, cases.c.id, cases.c.confirmed_lines)
    # A line that takes back another such line lets what that one took back stand again.
    undone = exists().where(
        again.c.case_id == back.c.case_id,
        again.c.number <= confirmed.c.confirmed_lines,
        again.c.kind == "back",
        again.c.subject == cast(back.c.number, String),
    )
    later = and_(back.c.case_id == said.c.case_id, back.c.number <= confirmed.c.confirmed_lines)
    taken_back = exists().where(
        later,
        back.c.kind == "back",
        back.c.subject == cast(said.c.number, String),
        ~undone.correlate(back, confirmed),
    )
    dropped = exists().where(
        later, back.c.kind == "dropped", back.c.subject == check, back.c.number > said.c.number
    )
    nth = func.row_number().over(partition_by=said.c.case_id, order_by=said.c.number.desc())
    return (
        select(confirmed.c.symptom, confirmed.c.cause, said.c.answer, nth.label("nth"))
        .join_from(said, confirmed, confirmed.c.id == said.c.case_id)
        .where(
            said.c.kind == "finding",
            said.c.subject == check,
            said.c.number <= confirmed.c.confirmed_lines,
            ~taken_back.correlate(said, confirmed),
            ~dropped.correlate(said, confirmed),
        )
        .subquery()
    )
