"""Cases that came here by their code and are in the merged sums of their own store as well: counted once.

Imports SQLAlchemy: load this module late. An export has no single cases in it, so this is settled by counts,
each case of an export standing for one case by a code at most. A case by its code, of a symptom, a year and
an ending, opened no later than the export came,

1. counts there, if the export counts one of its cause; else
2. counts here, in the place of one that the export counts as over without an outcome; else
3. counts there, if the export counts one of another cause: its own store has the last word; else
4. counts here: that export knows nothing of it.

One that nobody has confirmed here counts there as soon as the export has a case left that it may be. So the
number of cases is right wherever the export has the case. Nothing of this is stored: what is merged,
replaced or forgotten later is settled anew at the next reading. All that counts cases takes it from here: the
ranking's sums, the scores of its past, and what trends say that other stores know.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, false, func, or_, select

from diagnose.cases.journal import counted_answers
from diagnose.cases.records import Entry
from diagnose.cases.tables import cases, cause_sums, entries, merged, unconfirmed_sums

_OVER = ("cured", "referred", "stopped")

ORIGIN_IN_A_CODE = 4
"""How many of the letters of a store's name stand in a code, and are the source of a case that came by it."""


@dataclass(frozen=True, slots=True)
class Twice:
    """One case that stands in the sums two times, and which of the two does not count."""

    symptom: str
    cause: str
    """Empty where what does not count is a case that nobody has confirmed."""
    year: int
    ending: str
    over_since: datetime
    """When both counted as over."""
    told_since: datetime | None = None
    """When both counted with a cause; None where what does not count has none."""
    answers: Mapping[str, str] = field(default_factory=dict)
    """Check -> answer of what does not count."""


@dataclass(frozen=True, slots=True)
class Duplicates:
    """What one symptom's sums over all stores count too much, by their keys without the symptom."""

    causes: Counter[tuple[str, int, str]] = field(default_factory=Counter)
    """(cause, year, ending)"""
    answers: Counter[tuple[str, str, str, int, str]] = field(default_factory=Counter)
    """(cause, check, answer, year, ending)"""
    unconfirmed: Counter[tuple[int, str]] = field(default_factory=Counter)
    """(year, ending)"""


def duplicates(connection: Connection, symptom: str) -> Duplicates:
    """What the sums of a symptom count twice. Costs as many rows as cases came by codes of merged stores."""
    found = Duplicates()
    for each in counted_twice(connection, (symptom,)):
        when = (each.year, each.ending)
        if not each.cause:
            found.unconfirmed[when] += 1
            continue
        found.causes[each.cause, *when] += 1
        for check, answer in each.answers.items():
            found.answers[each.cause, check, answer, *when] += 1
    return found


def counted_twice(connection: Connection, symptoms: Sequence[str] = ()) -> Iterator[Twice]:
    """Every case of some symptoms, or of all, that counts twice; at the same cost."""
    by_tag: dict[str, dict[str, datetime]] = {}
    for origin, received in connection.execute(select(merged.c.origin, merged.c.received)):
        by_tag.setdefault(origin[:ORIGIN_IN_A_CODE], {})[origin] = received
    if not by_tag:
        return
    by_code: defaultdict[tuple[str, str], list[Row[Any]]] = defaultdict(list)
    rows = connection.execute(_ended_of(symptoms, list(by_tag))).all()
    for row in sorted(rows, key=lambda row: row.id):
        if row.source_case.isdecimal() and row.opened <= max(by_tag[row.source].values()):
            by_code[row.symptom, row.source].append(row)
    for (symptom, tag), of_tag in by_code.items():
        yield from _settled(connection, symptom, by_tag[tag], of_tag)


def _ended_of(symptoms: Sequence[str], tags: list[str]) -> Any:
    # By the index of sources and no other, whatever the database thinks of it: a symptom may have a million
    # cases, a source of this kind has few.
    brought = select(cases.c.id).where(cases.c.source.in_(tags))
    over = or_(func.coalesce(cases.c.confirmed, false()), cases.c.state.in_(_OVER))
    wanted = select(cases).where(cases.c.id.in_(brought), over)
    return wanted.where(func.coalesce(cases.c.symptom, "").in_(symptoms)) if symptoms else wanted


def _settled(
    connection: Connection, symptom: str, received: Mapping[str, datetime], rows: list[Row[Any]]
) -> Iterator[Twice]:
    """What counts twice of the cases of one symptom that came by the codes of stores with one beginning."""
    told, untold = Counter[Any](), Counter[Any]()
    for row in connection.execute(_sums_of(cause_sums, symptom, received)):
        told[row.year, row.ending, row.cause] += row.total
    for row in connection.execute(_sums_of(unconfirmed_sums, symptom, received)):
        untold[row.year, row.ending] += row.total
    there: list[Row[Any]] = []
    came = max(received.values())
    confirmed = [row for row in rows if row.confirmed]
    # A case may have ended otherwise since its code was given out; so the ending counts first, and then not.
    for ending in (True, False):
        for counts, cause in ((told, True), (untold, False), (told, False)):
            left: list[Row[Any]] = []
            for row in confirmed:
                place = _place(counts, row, ending=ending, cause=cause)
                if place is None:
                    left.append(row)
                elif counts is untold:
                    year, ended = place
                    yield Twice(symptom, "", year, ended, max(came, row.opened))
                else:
                    there.append(row)
            confirmed = left
    yield from _counted_there(connection, there, came)
    open_here = [row for row in rows if not row.confirmed]
    for ending in (True, False):
        for counts in (untold, told):
            here: list[Row[Any]] = []
            for row in open_here:
                if _place(counts, row, ending=ending, cause=False) is None:
                    here.append(row)
                else:
                    yield Twice(symptom, "", row.opened.year, row.state, max(came, row.opened))
            open_here = here


def _place(counts: Counter[Any], row: Row[Any], *, ending: bool, cause: bool) -> Any:
    """The key of a case of the export that this may be, which is then taken; None where none is left."""
    for year, ended, *of in sorted(counts):
        fits = year == row.opened.year and (ended == row.state or not ending)
        if fits and counts[year, ended, *of] > 0 and (not cause or of == [row.cause]):
            counts[year, ended, *of] -= 1
            return year, ended, *of
    return None


def _counted_there(connection: Connection, rows: list[Row[Any]], came: datetime) -> Iterator[Twice]:
    """Cases of this store that give way to one in the export, with the answers that they count."""
    journals: dict[int, list[Entry]] = {row.id: [] for row in rows}
    lines = select(entries).where(entries.c.case_id.in_(journals)).order_by(entries.c.number)
    for line in connection.execute(lines) if rows else ():
        journals[line.case_id].append(
            Entry(line.time, line.kind, line.subject, line.answer, number=line.number)
        )
    for row in rows:
        yield Twice(
            row.symptom,
            row.cause,
            row.opened.year,
            row.state,
            over_since=max(came, row.opened),
            told_since=max(came, row.confirmed_on),
            answers=counted_answers(journals[row.id][: row.confirmed_lines]),
        )


def _sums_of(table: Any, symptom: str, origins: Mapping[str, datetime]) -> Any:
    return table.select().where(table.c.symptom == symptom, table.c.origin.in_(list(origins)))
