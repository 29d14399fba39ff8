"""Cases as a list shows them, however many there are: some hundred at a time, their number from the sums.

Imports SQLAlchemy: load this module late. Each part is read in a transaction of its own, so that a slow
reader (a pager, a pipe) holds nothing up; a part begins where the last one ended, so no case comes twice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, func, or_, select

from diagnose.cases.journal import findings
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.selecting import Wanted, query
from diagnose.cases.store import CaseStore, record_of
from diagnose.cases.sums import OVER
from diagnose.cases.tables import cases, cause_sums, entries, unconfirmed_sums
from diagnose.terms import State

AT_ONCE = 500
"""Cases that are in memory at one time."""

_NOT_OVER: tuple[State, ...] = ("open", "left-off")
_LINE = tuple(column for column in entries.columns if column.name != "case_id")
_TELL_FINDINGS = ("finding", "back", "dropped")
"""The kinds of line from which it follows which findings stand."""

Counts = Counter[tuple[State, bool]]
"""(state, confirmed) -> cases"""


@dataclass(frozen=True, slots=True)
class Listed:
    """A case without its journal, and the latest standing finding of each check (if they were asked for)."""

    record: CaseRecord
    findings: tuple[Entry, ...] = ()


def listed(store: CaseStore, wanted: Wanted, *, with_findings: bool = False) -> Iterator[Listed]:
    """The cases that fit, in the order of `wanted`, read as they are asked for."""
    left, beyond = wanted.limit, wanted.beyond
    while left is None or left > 0:
        some = AT_ONCE if left is None else min(AT_ONCE, left)
        with store.reading() as connection:
            rows = connection.execute(query(replace(wanted, beyond=beyond, limit=some))).all()
            found = _findings(connection, rows) if with_findings else {}
            some_listed = [Listed(record_of(row), found.get(row.id, ())) for row in rows]
        yield from some_listed
        if len(rows) < some:
            return
        beyond = (rows[-1].opened, rows[-1].id)
        left = None if left is None else left - some


def checks_found(store: CaseStore, wanted: Wanted) -> tuple[str, ...]:
    """The ids of all checks and facts of which these cases have a line, in alphabetical order.

    Goes once through the journals of the cases that fit.
    """
    fitting = query(replace(wanted, oldest_first=False)).with_only_columns(cases.c.id)
    found = select(entries.c.subject).distinct().where(entries.c.kind == "finding")
    if wanted != Wanted(oldest_first=wanted.oldest_first):
        found = found.where(entries.c.case_id.in_(fitting.subquery().select()))
    with store.reading() as connection:
        return tuple(sorted(connection.scalars(found)))


def counted(store: CaseStore, wanted: Wanted) -> Counts:
    """How many cases fit, by state and by whether they are confirmed; `limit` and `beyond` count for nothing.

    Where only symptom, state, cause and confirmation are asked about, the sums tell it, with the number of
    cases that are still open: that takes as long with a million cases as with ten. Else the cases that fit
    are gone through by the database.
    """
    plain = Wanted(
        wanted.symptom, wanted.states, wanted.confirmed, wanted.cause, oldest_first=wanted.oldest_first
    )
    with store.reading() as connection:
        if replace(wanted, limit=None, beyond=None) == plain:
            return _from_sums(connection, plain)
        fitting = query(replace(wanted, limit=None, beyond=None)).order_by(None).subquery()
        of = fitting.c
        rows = connection.execute(
            select(of.state, of.confirmed, func.count()).group_by(of.state, of.confirmed)
        )
        return Counter({(state, bool(confirmed)): number for state, confirmed, number in rows})


def _from_sums(connection: Connection, wanted: Wanted) -> Counts:
    counts: Counts = Counter()
    confirmed = _by_ending(connection, cause_sums, wanted)
    unconfirmed = _by_ending(connection, unconfirmed_sums, wanted)
    for state in wanted.states or (*_NOT_OVER, *OVER):
        if wanted.confirmed is not False:
            counts[state, True] = confirmed[state]
        if wanted.confirmed is not True and wanted.cause is None:
            counts[state, False] = unconfirmed[state]
            if state in _NOT_OVER:
                every = _by_ending(connection, cause_sums, replace(wanted, cause=None))[state]
                counts[state, False] = _of_state(connection, state, wanted.symptom) - every
    return +counts


def _by_ending(connection: Connection, table: Any, wanted: Wanted) -> Counter[str]:
    total = func.sum(table.c.total)
    asked = select(table.c.ending, total).where(table.c.origin == "").group_by(table.c.ending)
    if wanted.symptom is not None:
        asked = asked.where(table.c.symptom == wanted.symptom)
    if wanted.cause is not None and "cause" in table.c:
        asked = asked.where(table.c.cause == wanted.cause)
    return Counter({ending: int(number) for ending, number in connection.execute(asked)})


def _of_state(connection: Connection, state: State, symptom: str | None) -> int:
    asked = select(func.count()).select_from(cases).where(cases.c.state == state)
    if symptom is not None:
        asked = asked.where(cases.c.symptom == symptom)
    return int(connection.scalar(asked) or 0)


def _findings(connection: Connection, rows: list[Row[Any]] | Any) -> dict[int, tuple[Entry, ...]]:
    """Case -> its latest standing findings; of the journals only the lines that tell them are read."""
    telling = or_(*(entries.c.kind == kind for kind in _TELL_FINDINGS))
    asked = (
        select(entries.c.case_id, *_LINE)
        .where(entries.c.case_id.in_([row.id for row in rows]), telling)
        .order_by(entries.c.case_id, entries.c.number)
    )
    names = [column.name for column in _LINE]
    return {
        case: findings([Entry(**{name: getattr(line, name) for name in names}) for line in lines])
        for case, lines in groupby(connection.execute(asked), key=lambda line: line.case_id)
    }
