"""Rounds in the case store: begun, noted on line by line, left off, ended.

Imports SQLAlchemy: load this module late. Each function is one transaction and durable when it returns. Two
people may note on one round from two programs: every line gets a number of its own, and none is lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, get_args

from sqlalchemy import Connection, Row, delete, func, select, update

from diagnose.cases.refusals import Scrambled
from diagnose.cases.rounds_records import RoundHead, RoundLine, RoundRecord, Stage
from diagnose.cases.store import CaseStore
from diagnose.cases.tables import key_of_vehicle, round_lines, rounds
from diagnose.terms import DiagnoseError
from diagnose.terms.rounds import ROUNDS, RoundId

_MOST = 2**31 - 1
_OF_LINE = ("time", "noted", "subject", "answer", "who", "note")
_STAGES = get_args(Stage)


class NoSuchRound(DiagnoseError):
    """No round of that number is kept."""

    def __init__(self, number: int) -> None:
        super().__init__(f"there is no round {number}; `diagnose round --kept` shows those there are")
        self.number = number


def begin_round(
    store: CaseStore, round: RoundId, digest: str, vehicle: str, who: str, now: datetime
) -> RoundRecord:
    """A new, open round; its number is in what is returned."""
    values = {
        "round": round,
        "digest": digest,
        "vehicle": vehicle,
        "vehicle_key": key_of_vehicle(vehicle),
        "stage": "open",
        "begun": now,
        "changed": now,
        "who": who,
        "lines": 0,
    }
    with store.writing() as connection:
        made = connection.execute(rounds.insert().values(values)).inserted_primary_key
    return RoundRecord(int(made[0]) if made else 0, round, digest, "open", now, now, vehicle, who)


def note(
    store: CaseStore, number: int, lines: Sequence[RoundLine], stage: Stage | None = None
) -> tuple[RoundLine, ...]:
    """Adds lines to a round, all of them or none; returns them with their numbers. Raises NoSuchRound.

    With `stage` the round stands so afterwards. An open or left-off round that danger is noted on is stopped,
    and one on which a clearance is noted is open again, without a word about it.
    """
    with store.writing() as connection:
        return add_lines(connection, number, lines, stage)


def note_unless_danger(store: CaseStore, number: int, line: RoundLine, seen: int) -> None:
    """Adds a line, but not where danger was told after line `seen`: a clearance is of no later danger."""
    with store.writing() as connection:
        _locked(connection, number)
        later = (round_lines.c.round_id == number) & (round_lines.c.number > seen)
        told = select(round_lines.c.number).where(later, round_lines.c.noted == "danger").limit(1)
        if connection.execute(told).first() is None:
            add_lines(connection, number, (line,))


def add_lines(
    connection: Connection, number: int, lines: Sequence[RoundLine], stage: Stage | None = None
) -> tuple[RoundLine, ...]:
    """The same in the caller's transaction."""
    row = _locked(connection, number)
    numbered = tuple(replace(line, number=row.lines + place) for place, line in enumerate(lines, 1))
    for line in numbered:
        values = {name: getattr(line, name) for name in _OF_LINE}
        connection.execute(
            round_lines.insert(),
            {"round_id": number, "number": line.number, "case_id": line.case, **values},
        )
    changed = {"lines": row.lines + len(lines), "stage": stage or _stage_after(row.stage, lines)}
    latest = max((line.time for line in lines), default=row.changed)
    connection.execute(
        update(rounds).where(rounds.c.id == number).values(changed=max(latest, row.changed), **changed)
    )
    return numbered


def lines_of_round(connection: Connection, number: int) -> tuple[RoundLine, ...]:
    """The lines of one round, in the caller's transaction."""
    wanted = select(round_lines).where(round_lines.c.round_id == number).order_by(round_lines.c.number)
    return tuple(_line(line) for line in connection.execute(wanted))


def set_stage(store: CaseStore, number: int, stage: Stage, now: datetime) -> None:
    """Leaves a round off, ends it or takes it up again; a stopped one stays as it is. Raises NoSuchRound."""
    with store.writing() as connection:
        row = _locked(connection, number)
        if row.stage != "stopped":
            values = {"stage": stage, "changed": now}
            connection.execute(update(rounds).where(rounds.c.id == number).values(**values))


def round_kept(store: CaseStore, number: int) -> RoundRecord:
    """A round with its lines. Raises NoSuchRound."""
    found = rounds_kept(store, numbers=(number,)) if 0 < number <= _MOST else ()
    if not found:
        raise NoSuchRound(number)
    return found[0]


def rounds_kept(
    store: CaseStore,
    *,
    numbers: Iterable[int] | None = None,
    round: RoundId | None = None,
    vehicle: str | None = None,
    stages: tuple[Stage, ...] = (),
    limit: int | None = None,
) -> tuple[RoundRecord, ...]:
    """Rounds with their lines, the one begun last first; a label counts in any capitals."""
    wanted = select(rounds).order_by(rounds.c.begun.desc(), rounds.c.id.desc()).limit(limit)
    if numbers is not None:
        wanted = wanted.where(rounds.c.id.in_(tuple(numbers)))
    if round is not None:
        wanted = wanted.where(rounds.c.round == round)
    if vehicle is not None:
        wanted = wanted.where(rounds.c.vehicle_key == key_of_vehicle(vehicle))
    if stages:
        wanted = wanted.where(rounds.c.stage.in_(stages))
    with store.reading() as connection:
        rows = connection.execute(wanted).all()
        held = defaultdict(list)
        lines = select(round_lines).where(round_lines.c.round_id.in_([row.id for row in rows]))
        for line in connection.execute(lines.order_by(round_lines.c.round_id, round_lines.c.number)):
            held[line.round_id].append(_line(line))
    return tuple(_record(row, tuple(held[row.id])) for row in rows)


def rounds_not_ended(store: CaseStore) -> tuple[RoundHead, ...]:
    """Of each vehicle the latest round of each name, where that is not at its end."""
    latest = select(func.max(rounds.c.id)).group_by(rounds.c.round, rounds.c.vehicle_key)
    with store.reading() as connection:
        rows = connection.execute(select(rounds).where(rounds.c.id.in_(latest), rounds.c.stage != "ended"))
        found = [_record(row, ()) for row in rows]
    return tuple(RoundHead(each.number, each.round, each.stage, each.vehicle, each.changed) for each in found)


def rounds_of_case(store: CaseStore, case: int) -> tuple[RoundRecord, ...]:
    """The rounds on which something wrong opened this case, the one begun last first."""
    with store.reading() as connection:
        wanted = select(round_lines.c.round_id).where(round_lines.c.case_id == case).distinct()
        numbers = [row.round_id for row in connection.execute(wanted)]
    return rounds_kept(store, numbers=numbers) if numbers else ()


def forget_rounds(connection: Connection, numbers: Sequence[int]) -> None:
    """Takes rounds out with all their lines, in the caller's transaction."""
    connection.execute(delete(round_lines).where(round_lines.c.round_id.in_(numbers)))
    connection.execute(delete(rounds).where(rounds.c.id.in_(numbers)))


def forget_cases_of_rounds(connection: Connection, cases: Sequence[int]) -> None:
    """Lines that name one of these cases name none afterwards, in the caller's transaction."""
    connection.execute(update(round_lines).where(round_lines.c.case_id.in_(cases)).values(case_id=None))


def rounds_of_wrong_length(connection: Connection, most: int = 20) -> tuple[tuple[int, int, int], ...]:
    """(round, lines that it should have, lines that there are) where the two differ, at most so many."""
    there = (
        select(round_lines.c.round_id, func.count().label("there"))
        .group_by(round_lines.c.round_id)
        .subquery()
    )
    lines = func.coalesce(there.c.there, 0)
    wanted = (
        select(rounds.c.id, rounds.c.lines, lines)
        .select_from(rounds.outerjoin(there, there.c.round_id == rounds.c.id))
        .where(rounds.c.lines != lines)
        .order_by(rounds.c.id)
        .limit(most)
    )
    return tuple((int(id), int(told), int(n)) for id, told, n in connection.execute(wanted))


def _stage_after(stage: str, lines: Sequence[RoundLine]) -> str:
    for line in lines:
        if line.noted == "danger":
            stage = "stopped"
        elif line.noted == "cleared" and line.answer == "yes":
            stage = "open"
    return stage


def _locked(connection: Connection, number: int) -> Row[Any]:
    """The round's row, held until the transaction ends. (SQLite knows no FOR UPDATE; it locks the file.)"""
    held = select(rounds).where(rounds.c.id == number).with_for_update()
    row = connection.execute(held).first() if 0 < number <= _MOST else None
    if row is None:
        raise NoSuchRound(number)
    return row


def _line(row: Row[Any]) -> RoundLine:
    return RoundLine(**{name: getattr(row, name) for name in _OF_LINE}, case=row.case_id, number=row.number)


def _record(row: Row[Any], lines: tuple[RoundLine, ...]) -> RoundRecord:
    if row.stage not in _STAGES or row.round not in ROUNDS:
        raise Scrambled(f"a round is not {row.stage!r}, nor is any called {row.round!r}")
    return RoundRecord(
        row.id, row.round, row.digest, row.stage, row.begun, row.changed, row.vehicle, row.who, lines
    )
