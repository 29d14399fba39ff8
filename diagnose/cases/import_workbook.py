"""Rows of a workbook (XLSX, ISO/IEC 29500), read with openpyxl as a stream. Imported only for such files.

A workbook is a packed file, and a small one can unpack to any size: what it would come to is read from its
directory before anything is unpacked. Formulas are never computed, nor are their last results trusted: a cell
that holds one is told, where it matters.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from diagnose.cases.import_rows import (
    LONGEST_CELL,
    MOST_COLUMNS,
    BadRow,
    FileForm,
    Row,
    checked_header,
    flawed,
)
from diagnose.knowledge.ids import quoted

MOST_UNPACKED = 1024**3
"""Bytes of all parts together; a million rows of a job history come to less than half of it."""
MOST_SHARED = 64 * 1024**2
"""Bytes of the texts that cells share, and of each other part but the sheets: they are kept in memory."""
MOST_RATIO = 200
"""How many times its packed size a large part may have; rows of a table come to some ten to thirty times."""
MOST_MERGED = 100_000
"""Rows that cells below each other may be merged over."""
FORMULA = "="
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s[^>]*?ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')


@dataclass(slots=True)
class WorkbookRows:
    """One sheet: the first, unless the form names another."""

    path: Path
    form: FileForm
    shown: str
    header: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    header_row: int = 1
    _book: Any = None
    _sheet: Any = None
    _at: int = 0
    _merged: dict[int, tuple[int, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Judge the packed file, find the sheet, read its header."""
        self._judge()
        self._open()
        for at, cells in self._cells():
            if any(cell not in (None, "") for cell in cells) and at >= self.form.header_row:
                self.header = checked_header([_plain(cell) for cell in cells], self.shown, at)
                self.header_row = at
                break
        else:
            raise flawed(self.shown, 1, 1, f"the sheet {quoted(self._sheet.title)} holds nothing")

    def __iter__(self) -> Iterator[tuple[int, Row]]:
        """The rows below the header."""
        width = len(self.header)
        for at, cells in self._cells():
            if at <= self.header_row:
                continue
            row = [_plain(cell) for cell in cells[:width]]
            row += [""] * (width - len(row))
            if at in self._merged:
                column, ref = self._merged[at]
                yield at, BadRow(row, column, f"cells {ref} are merged; a case stands on one row of its own")
            elif any(cell not in (None, "") for cell in cells[width:]):
                yield at, BadRow(row, width + 1, f"the row has more cells than the header, which has {width}")
            elif (too_long := next((i for i, c in enumerate(row) if len(str(c)) > LONGEST_CELL), -1)) >= 0:
                text = f"a cell holds more than {LONGEST_CELL:,} characters"
                yield at, BadRow((), too_long + 1, text)
            elif any(cell != "" for cell in row):
                yield at, row

    def done(self) -> float:
        """The part of the sheet's rows that has been read, where the workbook tells how many there are."""
        most = self._sheet.max_row if self._sheet is not None else None
        return min(1.0, self._at / most) if most else 0.0

    def close(self) -> None:
        """Let go of the file."""
        if self._book is not None:
            self._book.close()

    def _cells(self) -> Iterator[tuple[int, tuple[Any, ...]]]:
        from xml.etree.ElementTree import ParseError

        try:
            for at, cells in enumerate(self._sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS), 1):
                self._at = at
                yield at, cells
        except (ParseError, zipfile.BadZipFile, ValueError, KeyError, TypeError, OSError, EOFError) as error:
            raise flawed(self.shown, self._at + 1, 1, "the workbook is damaged from here on") from error

    def _open(self) -> None:
        import warnings

        from openpyxl import load_workbook

        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # of styles and extensions that do not matter here
                self._book = load_workbook(self.path, read_only=True, data_only=False, keep_links=False)
        except Exception as error:  # a damaged workbook makes openpyxl fail in any way at all
            raise flawed(
                self.shown, 1, 1, "is no workbook that can be read; save it as .xlsx anew"
            ) from error
        sheets = {sheet.title: sheet for sheet in self._book.worksheets}
        if not sheets:
            raise flawed(self.shown, 1, 1, "the workbook has no sheet with cells")
        if self.form.sheet and self.form.sheet not in sheets:
            there = ", ".join(map(quoted, sheets))
            text = f"the workbook has no sheet {quoted(self.form.sheet)}; it has {there}"
            raise flawed(self.shown, 1, 1, text)
        self._sheet = sheets[self.form.sheet] if self.form.sheet else next(iter(sheets.values()))
        if len(sheets) > 1 and not self.form.sheet:
            others = ", ".join(quoted(name) for name in list(sheets)[1:6])
            self.notes.append(f"Only the sheet {quoted(self._sheet.title)} is read, not {others}.")
        self._find_merged()

    def _judge(self) -> None:
        try:
            with zipfile.ZipFile(self.path) as packed:
                parts = packed.infolist()
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
            raise flawed(self.shown, 1, 1, "is no workbook (.xlsx); save it as one, or as CSV") from error
        total = sum(part.file_size for part in parts)
        for part in parts:
            large = part.file_size > 1024**2
            kept = not part.filename.startswith("xl/worksheets/") and part.filename.endswith(
                (".xml", ".rels")
            )
            if large and part.file_size > MOST_RATIO * max(part.compress_size, 1):
                raise self._too_much("is packed suspiciously tightly")
            if kept and part.file_size > MOST_SHARED:
                raise self._too_much(f"unpacks to more than {MOST_SHARED // 1024**2} MiB of shared texts")
        if total > MOST_UNPACKED:
            raise self._too_much(f"unpacks to more than {MOST_UNPACKED // 1024**2} MiB")

    def _too_much(self, what: str) -> Exception:
        return flawed(self.shown, 1, 1, f"the workbook {what}; it is not read. Save the sheet as CSV")

    def _find_merged(self) -> None:
        """Merged cells below each other, by row: what is under them belongs to none of the rows.

        Where cells are merged stands behind the rows, so the sheet is gone through once before.
        """
        part = getattr(self._sheet, "_worksheet_path", "").lstrip("/")
        try:
            with zipfile.ZipFile(self.path) as packed, packed.open(part) as stream:
                before = b""
                while piece := stream.read(1 << 20):
                    for found in _MERGED.finditer(before + piece):
                        self._note_merged(found)
                    before = piece[-200:]  # a mention may lie across two pieces; twice noted is once
        except (KeyError, zipfile.BadZipFile, OSError, EOFError) as error:
            raise flawed(self.shown, 1, 1, "the workbook is damaged") from error

    def _note_merged(self, found: re.Match[bytes]) -> None:
        first, top, last, bottom = (part.decode() for part in found.groups())
        if top != bottom:
            for row in range(int(top), int(bottom) + 1):
                if len(self._merged) >= MOST_MERGED:
                    raise flawed(
                        self.shown, row, _column(first), "too many rows are merged; unmerge the cells"
                    )
                self._merged[row] = (_column(first), f"{first}{top}:{last}{bottom}")


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _plain(value: Any) -> Any:
    """A cell's value as text, or as the number that it is; a moment as an ISO date, its time behind it.

    A whole number stays whole: case 17 is "17", and never "17.0".
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < 1e15 else value
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "seconds")
    if isinstance(value, date):
        return value.isoformat()
    # An array formula is an object of its own; what remains are times and spans.
    text = getattr(value, "text", None)
    return f"{FORMULA}{text}" if text is not None else str(value)
