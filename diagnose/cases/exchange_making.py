"""An export made from a store: its own cases' sums under the next running number.

Imports SQLAlchemy: load this module late.
"""

from __future__ import annotations

import os
import re
import secrets
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from sqlalchemy import Connection, select, update

from diagnose.cases.by_code import cases_by_code
from diagnose.cases.exchange import TABLES, Export
from diagnose.cases.exchange_reading import read_export
from diagnose.cases.exchange_withholding import Withheld, withhold
from diagnose.cases.store import CaseStore
from diagnose.cases.tables import SUMS, store_identity
from diagnose.terms import DiagnoseError, FlawedKnowledge


class SumsDoNotFit(DiagnoseError):
    """The store's sums are such as no export may hold. Nothing was given out and no number used."""


def make_export(store: CaseStore, year: int, at_least: int = 0) -> tuple[Export, Withheld]:
    """The sums as they stand now, and how many cells were withheld; `year` is the present one.

    The number is raised in the same transaction as everything is read. What is returned has been read back as
    whoever merges it will read it. Raises SumsDoNotFit where that would be refused.
    """
    with store.writing() as connection:
        hold_exchange(connection, frozen=True)
        raised = update(store_identity).values(exports=store_identity.c.exports + 1)
        connection.execute(raised)
        origin, number = connection.execute(select(store_identity.c.origin, store_identity.c.exports)).one()
        causes, answers, untold = (_own(connection, name) for name in TABLES)
        made, withheld = Export(origin, number, causes, answers, untold), Withheld()
        # A threshold hides single cases, so those that came by their code stay among the sums.
        made = apart_by_code(connection, made) if not at_least else made
        if at_least:
            made, withheld = withhold(made, at_least)
        try:
            read_export(made.text().encode(), f"export {number}", year)
        except FlawedKnowledge as error:
            raise SumsDoNotFit(
                f"the sums of this store cannot be given out: {error.flaws[0].message}; "
                "`diagnose cases check` tells what is wrong with them"
            ) from error
    return made, withheld


def apart_by_code(connection: Connection, export: Export) -> Export:
    """The same with every case that came by its code on its own, and in no sum."""
    singles = [case for case in cases_by_code(connection) if _CODED.fullmatch(case.source)]
    left = {name: Counter({row[:-1]: row[-1] for row in getattr(export, name)}) for name in TABLES}
    for case in singles:
        when = (case.year, case.ending)
        if case.cause:
            left["causes"][case.symptom, case.cause, *when] -= 1
            for check, answer in case.answers.items():
                left["answers"][case.symptom, case.cause, check, answer, *when] -= 1
        else:
            left["unconfirmed"][case.symptom, *when] -= 1
    rows = {name: tuple((*key, n) for key, n in sorted(sums.items()) if n) for name, sums in left.items()}
    return replace(
        export,
        causes=rows["causes"],
        answers=rows["answers"],
        unconfirmed=rows["unconfirmed"],
        by_code=tuple(sorted((c.source, c.number, c.symptom, c.cause, c.year, c.ending) for c in singles)),
        by_code_answers=tuple(
            sorted((c.source, c.number, *each) for c in singles if c.cause for each in c.answers.items())
        ),
    )


_CODED = re.compile(r"[0-9a-f]{4}")


def write_export(export: Export, target: Path) -> None:
    """Writes the file whole or not at all: nobody finds half of one under its name. Raises DiagnoseError."""
    part = target.with_name(f"{target.name}.{secrets.token_hex(4)}.part")
    try:
        if target.exists() and not target.is_file():
            target.write_text(export.text(), encoding="ascii")  # a pipe or device cannot be replaced
            return
        try:
            with part.open("x", encoding="ascii") as file:
                file.write(export.text())
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        finally:
            with suppress(OSError):
                part.unlink()
    except OSError as error:
        raise DiagnoseError(f"cannot write {target}: {error.strerror}") from error


def hold_exchange(connection: Connection, *, frozen: bool = False) -> None:
    """Keeps other exports and merges out until the transaction ends; the first thing it has to do.

    With `frozen` all that it reads stands as it did when the lock was had: a server otherwise shows each
    statement what was committed meanwhile, and the answers could count a case that the causes do not. The
    lock comes before the first reading, so that it waits for an export under way in place of failing over
    it. (PostgreSQL's manual, LOCK; SQLite lets nobody else write at all.)
    """
    if connection.dialect.name != "postgresql":
        return
    if frozen:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
    connection.exec_driver_sql(f"LOCK TABLE {store_identity.name} IN EXCLUSIVE MODE")


def _own(connection: Connection, name: str) -> tuple[tuple[object, ...], ...]:
    table = SUMS[TABLES.index(name)]
    columns = [column for column in table.columns if column.name != "origin"]
    wanted = select(*columns).where(table.c.origin == "", table.c.total != 0)
    # Sorted here: a server may sort text by the rules of a language.
    return tuple(sorted(tuple(row) for row in connection.execute(wanted)))
