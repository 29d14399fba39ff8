"""A job history brought in: found mapping, file read, and everything or nothing written.

Reading comes first and touches no store; what was understood waits in a file beside the memory. So a store is
locked only while it is written, and a file with a flaw never takes anything back.
"""

from __future__ import annotations

import marshal
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import IO

from diagnose.cases.import_cases import Prepared, Refused, Report, RowReader, only_new_objects_searched
from diagnose.cases.import_columns import Columns, columns_of, flaws_of_mapping
from diagnose.cases.import_dates import order_told_by
from diagnose.cases.import_known import KnownIds
from diagnose.cases.import_mapping import LONGEST_SOURCE, ImportMapping, beside, read_mapping_file
from diagnose.cases.import_rows import Rows, open_rows
from diagnose.cases.import_words import Words
from diagnose.knowledge.ids import quoted
from diagnose.terms import DiagnoseError, Flaw, FlawedKnowledge, WrongUsage

Progress = Callable[[str, float], None]
"""Hears what is being done and how much of it is, from 0 to 1."""


class NoRoom(DiagnoseError):
    """What was read has no room in the folder for temporary files. Nothing was brought in."""


class NotUnderstood(FlawedKnowledge):
    """The columns of a file do not tell what a case needs; `missing` names the fields that no column is."""

    def __init__(self, flaws: tuple[Flaw, ...], header: tuple[str, ...], missing: tuple[str, ...]) -> None:
        super().__init__(flaws)
        self.header, self.missing = header, missing


def source_of(path: Path, given: str, mapping: ImportMapping | None) -> str:
    """Whose numbers these are: what was given, else what the mapping says, else the file's name.

    Raises WrongUsage for a name that cannot be one.
    """
    source = given.strip() or (mapping.source if mapping is not None else "") or path.name
    if not source.isprintable() or len(source) > LONGEST_SOURCE:
        raise WrongUsage(f"a source is a name of {LONGEST_SOURCE} letters at most; {quoted(source)} is none")
    return source


def mapping_for(path: Path, given: Path | None, source: str) -> ImportMapping | None:
    """The mapping that was given, else the one kept for this source beside the file; None without one.

    Raises FlawedKnowledge for a flawed one.
    """
    if given is not None:
        return read_mapping_file(given)
    kept = beside(path, source or path.name)
    return read_mapping_file(kept) if kept.is_file() else None


@dataclass(slots=True)
class Spool:
    """Cases that were understood, in a file that is gone when it is closed."""

    stream: IO[bytes]
    batches: int = 0

    @classmethod
    def empty(cls) -> Spool:
        """One in the system's folder for temporary files. Raises NoRoom."""
        with _room_told():
            return cls(tempfile.TemporaryFile(prefix="cases"))

    def __iter__(self) -> Iterator[list[Prepared]]:
        """The batches, from the first."""
        self.stream.seek(0)
        for _ in range(self.batches):
            yield marshal.load(self.stream)  # noqa: S302  (our own, written a moment ago)

    def add(self, batch: list[Prepared]) -> None:
        """One more batch. Raises NoRoom."""
        with _room_told():
            marshal.dump(batch, self.stream)
        self.batches += 1

    def complete(self) -> None:
        """No more comes: all of it is in the file. Raises NoRoom."""
        with _room_told():
            self.stream.flush()

    def close(self) -> None:
        """Lets go of it."""
        with suppress(OSError):
            self.stream.close()


@contextmanager
def _room_told() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        folder = tempfile.gettempdir() if tempfile.tempdir else "the folder for temporary files"
        raise NoRoom(
            f"no room in {folder} for what was read ({error.strerror}); nothing was brought in"
        ) from error


@dataclass(slots=True)
class History:
    """One file of past cases with the mapping by which it is read."""

    path: Path
    shown: str
    ids: KnownIds
    now: datetime
    mapping: ImportMapping = field(default_factory=ImportMapping)
    plates: bool = False
    order: str = ""
    """The order of day and month that was found in the file."""

    def rows(self) -> Rows:
        """The file, opened; raises FlawedKnowledge."""
        return open_rows(self.path, self.mapping.form, self.shown)

    def columns(self, rows: Rows) -> Columns:
        """What its columns are, flaws among it."""
        return columns_of(rows.header, self.mapping, self.ids, self.shown, header_row(rows))

    def check(self) -> None:
        """Raises FlawedKnowledge where the mapping names what is not there, NotUnderstood for the columns."""
        flaws = flaws_of_mapping(self.mapping, self.ids)
        if flaws:
            raise FlawedKnowledge(tuple(flaws))
        with closing(self.rows()) as rows:
            columns = self.columns(rows)
            self.require(rows, columns)

    def require(self, rows: Rows, columns: Columns) -> None:
        """Raises NotUnderstood where the columns do not tell enough, or tell it twice."""
        missing = [
            Flaw(self.shown, header_row(rows), 1, f"no column is the {_WHAT[each]} ({each})")
            for each in columns.missing
        ]
        if columns.flaws or missing:
            raise NotUnderstood((*missing, *columns.flaws), tuple(rows.header), columns.missing)

    def read(
        self, refused: Refused = lambda *_: None, progress: Progress = lambda *_: None
    ) -> tuple[Report, Spool]:
        """What the file comes to, and its cases. Raises FlawedKnowledge where it cannot be read at all."""
        spool = Spool.empty()
        try:
            with closing(self.rows()) as rows, only_new_objects_searched():
                columns = self.columns(rows)
                self.require(rows, columns)
                words = Words(
                    self.ids, self.mapping, self.now, plates=self.plates,
                    find_order=lambda: self._order(columns),
                )  # fmt: skip
                reader = RowReader(rows, columns, words, self.shown, refused)
                for batch in reader.batches():
                    spool.add(batch)
                    progress("Reading", rows.done())
                spool.complete()
                self.order = words.order if not self.mapping.dates else ""
        except BaseException:
            spool.close()
            raise
        return reader.report, spool

    def _order(self, columns: Columns) -> str:
        """The order of day and month that the file's dates show; the file is gone through once for it."""
        at = columns.fields["date"]
        with closing(self.rows()) as rows:
            return order_told_by(
                row[at] for _, row in rows if isinstance(row, list) and isinstance(row[at], str)
            )

    def with_mapping(self, mapping: ImportMapping) -> History:
        """The same file read by another mapping."""
        return replace(self, mapping=mapping, order="")


_WHAT = {"case": "case's number", "date": "date", "symptom": "symptom"}


def header_row(rows: Rows) -> int:
    """The row of the names of the columns."""
    return int(getattr(rows, "header_row", 1))
