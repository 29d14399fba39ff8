"""Other stores' sums beside this store's own: put in, replaced by later ones, taken out.

Imports SQLAlchemy: load this module late. The sums of each origin stand apart, and one number of it at a
time, so merging is putting a set of rows in the place of another: the order of files makes no difference,
nor how they are grouped, nor that one comes twice. What is ranked is their sum (`sums.read_tally`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any, Literal

from sqlalchemy import Connection, delete, func, or_, select, update

from diagnose.cases.by_code import LENGTH_OF_ORIGIN, origin_of_single
from diagnose.cases.exchange import TABLES, Export
from diagnose.cases.exchange_making import hold_exchange
from diagnose.cases.store import CaseStore
from diagnose.cases.sums import add_to_sums
from diagnose.cases.tables import SUMS, answer_sums, cause_sums, merged, store_identity, unconfirmed_sums
from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.ids import nearest, quoted
from diagnose.terms import DiagnoseError

Outcome = Literal["added", "replaces", "stands", "older", "own", "own-later"]
"""What becomes of a file.

- added: the first of its origin; replaces: a later number than the one that stood.
- stands: this very number stands already, or came twice; older: a later number stands, or came along.
- own: from this store itself; own-later: with a number that this store has not given out yet, since it was
  put back from a copy or is one. Both add nothing; after the second the store's numbers go on from there.
"""

_AT_ONCE = 1000

MOST_LOST = 1000
"""So many exports can have been given out since a copy was made; one further on comes from no such store."""


class SameNumberOtherSums(DiagnoseError):
    """Two exports of one origin bear the same number and say different things. Nothing was merged."""


class NumberOutOfPlace(DiagnoseError):
    """A file bears this store's own origin and a number far from all that it has given out."""


class NotMerged(DiagnoseError):
    """Nothing stands in the sums from this origin."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands in the sums from one other store."""

    origin: str
    number: int
    digest: str
    received: datetime
    confirmed: int = 0
    unconfirmed: int = 0


@dataclass(frozen=True, slots=True)
class Merged:
    """One file, and what becomes of it."""

    file: str
    export: Export
    outcome: Outcome
    stood: int | None = None
    """The number that stands, or stood, from its origin."""


def merge(
    store: CaseStore, files: Sequence[tuple[str, Export]], now: datetime, *, dry: bool = False
) -> tuple[Merged, ...]:
    """Puts the sums of all files in, or of none; returns what became of each, in their order.

    With `dry` nothing is written. Raises SameNumberOtherSums, NumberOutOfPlace.
    """
    with store.reading() if dry else store.writing() as connection:
        if not dry:
            hold_exchange(connection)
        own, exports = connection.execute(select(store_identity)).one()
        plan = planned(files, _standing(connection), own, exports)
        if not dry:
            for each in plan:
                if each.outcome in ("added", "replaces"):
                    _put_in(connection, each.export, now)
            _count_on(connection, exports, plan)
    return plan


def planned(
    files: Sequence[tuple[str, Export]], standing: Mapping[str, Standing], own: str, exports: int
) -> tuple[Merged, ...]:
    """What becomes of each file; of one origin the highest number goes in, once.

    Raises SameNumberOtherSums, NumberOutOfPlace.
    """
    _refuse_clashes(files, standing)
    _refuse_numbers_out_of_place(files, own, exports)
    highest = {id: each.number for id, each in standing.items()}
    for _, export in files:
        highest[export.origin] = max(export.number, highest.get(export.origin, 0))
    seen: set[tuple[str, int]] = {(id, each.number) for id, each in standing.items()}
    plan = []
    for file, export in files:
        stood = standing.get(export.origin)
        place = (export.origin, export.number)
        if export.origin == own:
            outcome: Outcome = "own-later" if export.number > exports else "own"
        elif export.number < highest[export.origin]:
            outcome = "older"
        elif place in seen:
            outcome = "stands"
        else:
            outcome = "replaces" if stood else "added"
        seen.add(place)
        plan.append(Merged(file, export, outcome, stood.number if stood else None))
    return tuple(plan)


def standing(store: CaseStore) -> tuple[Standing, ...]:
    """What stands in the sums from other stores, by origin, with the cases that each counts."""
    with store.reading() as connection:
        cases = _totals(connection, cause_sums)
        untold = _totals(connection, unconfirmed_sums)
        found = _standing(connection)
    return tuple(
        Standing(id, each.number, each.digest, each.received, cases.get(id, 0), untold.get(id, 0))
        for id, each in sorted(found.items())
    )


def named(store: CaseStore, origins: Sequence[str]) -> tuple[Standing, ...]:
    """What stands in the sums from these stores, in their order. Raises NotMerged."""
    known = {each.origin: each for each in standing(store)} if origins else {}
    for origin in origins:
        _refuse_unknown(origin, known)
    return tuple(known[origin] for origin in origins)


def take_out(store: CaseStore, origin: str) -> None:
    """Takes the sums of one other store out, as if they had never come. Raises NotMerged."""
    with store.writing() as connection:
        hold_exchange(connection)
        _refuse_unknown(origin, _standing(connection))
        _clear(connection, origin)
        connection.execute(delete(merged).where(merged.c.origin == origin))


def merged_causes(connection: Connection) -> Iterator[tuple[str, str, int]]:
    """(symptom, cause, cases) of all that was merged, in order."""
    of = cause_sums.c
    total = func.sum(of.total)
    wanted = select(of.symptom, of.cause, total).where(of.origin != "", of.total > 0)
    for symptom, cause, cases in connection.execute(wanted.group_by(of.symptom, of.cause)):
        yield symptom, cause, int(cases)


def _refuse_unknown(origin: str, known: Mapping[str, Standing]) -> None:
    if origin not in known:
        meant = nearest(origin, known)
        tail = f' (did you mean "{meant}"?)' if meant else "; `diagnose cases merge` lists what stands merged"
        raise NotMerged(f"nothing is merged from {quoted(without_refused(origin))}{tail}")


def _refuse_clashes(files: Sequence[tuple[str, Export]], standing: Mapping[str, Standing]) -> None:
    """All of them at once, a line each."""
    known = {(id, each.number): (each.digest, "the one that stands merged") for id, each in standing.items()}
    lines = []
    for file, export in files:
        digest, where = known.setdefault((export.origin, export.number), (export.digest, file))
        if digest != export.digest:
            lines.append(
                f"{file}: export {export.number} of store {export.origin} is not the same as {where}; two "
                "copies of that store have both gone on (docs/store.md tells the way out)"
            )
    if lines:
        raise SameNumberOtherSums("\n".join(lines))


def _refuse_numbers_out_of_place(files: Sequence[tuple[str, Export]], own: str, exports: int) -> None:
    lines = [
        f"{file}: bears the origin of this store and the number {export.number}; this store has given out "
        f"{exports}, so it does not come from here"
        for file, export in files
        if export.origin == own and export.number > exports + MOST_LOST
    ]
    if lines:
        raise NumberOutOfPlace("\n".join(lines))


def _standing(connection: Connection) -> dict[str, Standing]:
    rows = connection.execute(select(merged.c.origin, merged.c.number, merged.c.digest, merged.c.received))
    return {row.origin: Standing(*row) for row in rows}


def _totals(connection: Connection, table: Any) -> dict[str, int]:
    total = func.sum(table.c.total)
    whose = func.substr(table.c.origin, 1, LENGTH_OF_ORIGIN).label("whose")
    rows = connection.execute(select(whose, total).group_by(whose))
    return {origin: int(n) for origin, n in rows}


def _put_in(connection: Connection, export: Export, now: datetime) -> None:
    _clear(connection, export.origin)
    for name, table in zip(TABLES, SUMS, strict=True):
        columns = [column.name for column in table.columns if column.name != "origin"]
        rows = (
            {"origin": export.origin, **dict(zip(columns, row, strict=True))} for row in getattr(export, name)
        )
        while some := list(islice(rows, _AT_ONCE)):
            connection.execute(table.insert(), some)
    _put_in_singly(connection, export)
    connection.execute(delete(merged).where(merged.c.origin == export.origin))
    connection.execute(
        merged.insert(),
        {"origin": export.origin, "number": export.number, "digest": export.digest, "received": now},
    )


def _put_in_singly(connection: Connection, export: Export) -> None:
    """The cases by their code, each with an origin of its own that tells which case it is."""
    places = {row[:2]: (row[2], row[3], row[4], row[5]) for row in export.by_code}
    for (source, number), (symptom, cause, year, ending) in places.items():
        origin = origin_of_single(export.origin, source, number)
        key = {(symptom, cause, year, ending): 1} if cause else {(symptom, year, ending): 1}
        add_to_sums(connection, cause_sums if cause else unconfirmed_sums, key, origin)
    for source, number, check, answer in export.by_code_answers:
        symptom, cause, year, ending = places[source, number]
        origin = origin_of_single(export.origin, source, number)
        add_to_sums(connection, answer_sums, {(symptom, cause, check, answer, year, ending): 1}, origin)


def _clear(connection: Connection, origin: str) -> None:
    for table in SUMS:
        singles = table.c.origin.startswith(f"{origin}/")
        connection.execute(delete(table).where(or_(table.c.origin == origin, singles)))


def _count_on(connection: Connection, exports: int, plan: Sequence[Merged]) -> None:
    """Lets this store's numbers go on behind the highest that came back to it."""
    highest = max((each.export.number for each in plan if each.outcome == "own-later"), default=0)
    if highest > exports:
        connection.execute(update(store_identity).values(exports=highest))
