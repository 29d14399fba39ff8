"""Cases that came here by their code and are in the merged sums of their own store as well: counted once.

Imports SQLAlchemy: load this module late. A case that several stores have by its code, or one of them by its
code and this store as its own, is known by its number. Its own store's export has no single cases of its own
in it, so with that it is settled by counts, each case of an export standing for one case by a code at most. A
case by its code, of a symptom, a year and an ending, opened no later than the export came,

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

from sqlalchemy import Connection, select

from diagnose.cases.by_code import ORIGIN_IN_A_CODE, ByCode, cases_by_code, merged_singly, own_case
from diagnose.cases.tables import (
    cause_sums,
    merged,
    store_identity,
    unconfirmed_sums,
)


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
    received = {row.origin: row.received for row in connection.execute(select(merged))}
    if not received:
        return
    by_tag: dict[str, dict[str, datetime]] = {}
    for origin, moment in received.items():
        by_tag.setdefault(origin[:ORIGIN_IN_A_CODE], {})[origin] = moment
    singles = list(merged_singly(connection, symptoms, received))
    sources = sorted({*by_tag, *(each.source for each in singles)})
    same: defaultdict[tuple[str, str, int], list[ByCode]] = defaultdict(list)
    for each in [*cases_by_code(connection, sources, symptoms), *singles]:
        same[each.symptom, each.source, each.number].append(each)
    left: defaultdict[tuple[str, str], list[ByCode]] = defaultdict(list)
    tag = str(connection.scalar(select(store_identity.c.origin)))[:ORIGIN_IN_A_CODE]
    for (symptom, source, number), held in same.items():
        # One that has a cause before one that has none, then this store's own.
        first, *others = sorted(held, key=lambda each: (not each.cause, each.holder))
        yield from (_gives_way(each, first) for each in others)
        own = own_case(connection, symptom, number) if source == tag and first.holder else None
        if own is not None:
            yield _gives_way(own, first) if first.cause and not own.cause else _gives_way(first, own)
        else:
            left[symptom, source].append(first)
    for (symptom, source), of_tag in left.items():
        if source in by_tag:
            came = max(by_tag[source].values())
            within = [each for each in of_tag if each.opened <= came]
            within.sort(key=lambda each: (each.holder, each.id, each.number))
            yield from _settled(connection, symptom, by_tag[source], within)


def _gives_way(one: ByCode, other: ByCode) -> Twice:
    """That `one` does not count, since `other` is the same case."""
    over = max(one.over_since, other.over_since)
    told = max(one.told_since, other.told_since) if one.cause else None
    answers = one.answers if one.cause else {}
    return Twice(one.symptom, one.cause, one.year, one.ending, over, told, answers)


def _settled(
    connection: Connection, symptom: str, received: Mapping[str, datetime], held: list[ByCode]
) -> Iterator[Twice]:
    """What counts twice of the cases of one symptom that came by the codes of stores with one beginning."""
    if not held:
        return
    told, untold = Counter[Any](), Counter[Any]()
    for row in connection.execute(_sums_of(cause_sums, symptom, received)):
        told[row.year, row.ending, row.cause] += row.total
    for row in connection.execute(_sums_of(unconfirmed_sums, symptom, received)):
        untold[row.year, row.ending] += row.total
    came = max(received.values())
    confirmed = [each for each in held if each.cause]
    # A case may have ended otherwise since its code was given out; so the ending counts first, and then not.
    for ending in (True, False):
        for counts, cause in ((told, True), (untold, False), (told, False)):
            left: list[ByCode] = []
            for each in confirmed:
                place = _place(counts, each, ending=ending, cause=cause)
                over = max(came, each.over_since)
                if place is None:
                    left.append(each)
                elif counts is untold:
                    year, ended = place
                    yield Twice(symptom, "", year, ended, over)
                else:
                    when = max(came, each.told_since)
                    yield Twice(symptom, each.cause, each.year, each.ending, over, when, each.answers)
            confirmed = left
    open_here = [each for each in held if not each.cause]
    for ending in (True, False):
        for counts in (untold, told):
            here: list[ByCode] = []
            for each in open_here:
                if _place(counts, each, ending=ending, cause=False) is None:
                    here.append(each)
                else:
                    yield Twice(symptom, "", each.year, each.ending, max(came, each.over_since))
            open_here = here


def _place(counts: Counter[Any], case: ByCode, *, ending: bool, cause: bool) -> Any:
    """The key of a case of the export that this may be, which is then taken; None where none is left."""
    for year, ended, *of in sorted(counts):
        fits = year == case.year and (ended == case.ending or not ending)
        if fits and counts[year, ended, *of] > 0 and (not cause or of == [case.cause]):
            counts[year, ended, *of] -= 1
            return year, ended, *of
    return None


def _sums_of(table: Any, symptom: str, origins: Mapping[str, datetime]) -> Any:
    return table.select().where(table.c.symptom == symptom, table.c.origin.in_(list(origins)))
