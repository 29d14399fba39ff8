"""Cases of other stores that came by their code: those kept here, and those that merged exports have singly.

Imports SQLAlchemy: load this module late. The store that a case was opened in, by the letters that stand in a
code, and its number there tell the case wherever it is met. In a merged export such a case stands singly, and
in the sums under an origin of its own.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Row, false, func, or_, select

from diagnose.cases.journal import counted_answers
from diagnose.cases.records import Entry
from diagnose.cases.tables import answer_sums, cases, cause_sums, entries, unconfirmed_sums

_OVER = ("cured", "referred", "stopped")

ORIGIN_IN_A_CODE = 4
"""How many of the letters of a store's name stand in a code, and are the source of a case that came by it."""


LENGTH_OF_ORIGIN = 16
_NUMBER = re.compile(r"[1-9][0-9]{0,9}")


@dataclass(frozen=True, slots=True)
class ByCode:
    """A case of another store that came by its code, here or to a store whose export stands merged."""

    source: str
    number: int
    symptom: str
    cause: str
    """Empty where nobody has told it."""
    year: int
    ending: str
    opened: datetime
    """Of a merged one the beginning of the year, the earliest that it can be."""
    over_since: datetime
    """When it began to count."""
    told_since: datetime
    """When its cause did, if it has one."""
    answers: Mapping[str, str] = field(default_factory=dict)
    holder: str = ""
    """The merged store that has it; empty where this one has."""
    id: int = 0


def origin_of_single(origin: str, source: str, number: int) -> str:
    """Under what a case of a merged export that came to that store by its code stands in the sums.

    >>> origin_of_single("e09ebfeb715ca4f3", "1a2b", 7)
    'e09ebfeb715ca4f3/1a2b/7'
    """
    return f"{origin}/{source}/{number}"


def cases_by_code(
    connection: Connection, sources: Sequence[str] | None = None, symptoms: Sequence[str] = ()
) -> tuple[ByCode, ...]:
    """This store's cases that came by codes of these stores, or of all, and that count; by their number."""
    of = _sources(connection) if sources is None else sources
    rows = connection.execute(_ended_of(symptoms, list(of))).all()
    kept = [row for row in sorted(rows, key=lambda row: row.id) if _NUMBER.fullmatch(row.source_case)]
    told = _journals(connection, [row for row in kept if row.confirmed])
    return tuple(_by_code(row, told.get(row.id, {})) for row in kept)


def _by_code(row: Row[Any], answers: Mapping[str, str]) -> ByCode:
    return ByCode(
        row.source,
        int(row.source_case),
        row.symptom,
        row.cause if row.confirmed else "",
        row.opened.year,
        row.state,
        row.opened,
        over_since=row.opened,
        told_since=row.confirmed_on or row.opened,
        answers=answers,
        id=row.id,
    )


def own_case(connection: Connection, symptom: str, number: int) -> ByCode | None:
    """This store's own case of that number, if it counts."""
    over = or_(func.coalesce(cases.c.confirmed, false()), cases.c.state.in_(_OVER))
    wanted = select(cases).where(cases.c.id == number, cases.c.source.is_(None), over)
    row = connection.execute(wanted.where(cases.c.symptom == symptom)).one_or_none()
    if row is None:
        return None
    answers = _journals(connection, [row])[row.id] if row.confirmed else {}
    cause, told = (row.cause if row.confirmed else ""), row.confirmed_on or row.opened
    when = (row.opened.year, row.state, row.opened)
    return ByCode("", row.id, row.symptom, cause, *when, row.opened, told, answers, id=row.id)


def merged_singly(
    connection: Connection, symptoms: Sequence[str], received: Mapping[str, datetime]
) -> Iterator[ByCode]:
    """Those that stand in merged exports."""
    found: dict[str, tuple[str, str, int, str]] = {}
    for table in (cause_sums, unconfirmed_sums):
        for row in connection.execute(_single_rows(table, symptoms)):
            found[row.origin] = (row.symptom, getattr(row, "cause", ""), row.year, row.ending)
    answers: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for row in connection.execute(_single_rows(answer_sums, symptoms)) if found else ():
        answers[row.origin][row.check_id] = row.answer
    for origin, (symptom, cause, year, ending) in sorted(found.items()):
        holder, source, number = origin.split("/")
        since, opened = received[holder], datetime(year, 1, 1, tzinfo=UTC)
        yield ByCode(
            source, int(number), symptom, cause, year, ending, opened, since, since, answers[origin], holder
        )


def _single_rows(table: Any, symptoms: Sequence[str]) -> Any:
    wanted = table.select().where(table.c.origin.contains("/"), table.c.total > 0)
    return wanted.where(table.c.symptom.in_(symptoms)) if symptoms else wanted


def _sources(connection: Connection) -> Iterator[str]:
    """Every source that has the form of a store's in a code; each found by the index of sources."""
    last: str | None = ""
    while last is not None:
        last = connection.scalar(select(func.min(cases.c.source)).where(cases.c.source > last))
        if last is not None and len(last) == ORIGIN_IN_A_CODE:
            yield last


def _ended_of(symptoms: Sequence[str], tags: list[str]) -> Any:
    # By the index of sources and no other, whatever the database thinks of it: a symptom may have a million
    # cases, a source of this kind has few.
    brought = select(cases.c.id).where(cases.c.source.in_(tags))
    over = or_(func.coalesce(cases.c.confirmed, false()), cases.c.state.in_(_OVER))
    wanted = select(cases).where(cases.c.id.in_(brought), over)
    return wanted.where(func.coalesce(cases.c.symptom, "").in_(symptoms)) if symptoms else wanted


def _journals(connection: Connection, rows: Sequence[Row[Any]]) -> dict[int, dict[str, str]]:
    """Case -> the answers that it counts, by what stood at its confirmation."""
    journals: dict[int, list[Entry]] = {row.id: [] for row in rows}
    lines = select(entries).where(entries.c.case_id.in_(journals)).order_by(entries.c.number)
    for line in connection.execute(lines) if rows else ():
        journals[line.case_id].append(
            Entry(line.time, line.kind, line.subject, line.answer, number=line.number)
        )
    return {row.id: counted_answers(journals[row.id][: row.confirmed_lines]) for row in rows}
