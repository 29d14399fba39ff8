"""The rows of a job history as they stand in a file: CSV, XLSX or JSON Lines, one after the other.

Nothing is understood here but the file's own form. Rows come as a stream, so a file of any size takes the
same memory; a row whose form is broken comes as what is wrong with it, and the next one is read all the same.
No cell is ever evaluated.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from diagnose.cases.import_text import LONGEST_LINE, TOO_LONG, TextLines, encoding_of
from diagnose.knowledge.ids import quoted
from diagnose.terms import Flaw, FlawedKnowledge

Cell = str | float | int
"""What a cell holds: text as it stands, or a number where the file itself says that it is one."""

LONGEST_CELL = 10_000
"""Characters; what a person writes into one cell is far shorter."""
MOST_COLUMNS = 500
REASON = "reason"
"""The column that tells why a row was refused; it is left out when such rows are read again."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row whose form is broken: its cells as far as they are known, the column from 1, and the reason."""

    cells: Sequence[Cell]
    column: int
    why: str


Row = list[Any] | BadRow


@dataclass(frozen=True, slots=True)
class FileForm:
    """What has to be known beforehand to read a file; a mapping tells it where it is not the usual."""

    encoding: str = ""
    """Empty: UTF-8, or what a mark at the file's begin says."""
    sheet: str = ""
    header_row: int = 0
    """From 1; 0: the first row that is not empty."""


class Rows(Protocol):
    """An open file of rows. `notes` are things worth telling that are no flaw; known once it was read."""

    header: list[str]
    notes: list[str]

    def __iter__(self) -> Iterator[tuple[int, Row]]:
        """Row by row from the first below the header, each with its number in the file; no empty one."""
        ...

    def done(self) -> float:
        """How much of the file has been read, from 0 to 1."""
        ...

    def close(self) -> None:
        """Let go of the file."""
        ...


def open_rows(path: Path, form: FileForm, shown: str) -> Rows:
    """The rows of a file by its ending; raises FlawedKnowledge where it cannot be read at all."""
    suffix = path.suffix.lower()
    try:
        if not path.exists():
            raise flawed(shown, 1, 1, "there is no such file")
        if not path.is_file():
            raise flawed(shown, 1, 1, "is not a file")
        if suffix in (".csv", ".tsv", ".txt"):
            return CsvRows(path, form, shown)
        if suffix == ".xlsx":
            from diagnose.cases.import_workbook import WorkbookRows

            return WorkbookRows(path, form, shown)
        if suffix in (".jsonl", ".ndjson"):
            from diagnose.cases.import_json_lines import JsonLinesRows

            return JsonLinesRows(path, form, shown)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise flawed(shown, 1, 1, f"cannot be read: {reason}") from error
    raise flawed(
        shown, 1, 1, f"{quoted(suffix) if suffix else 'a file without an ending'} is no kind of file that is "
        "read here; save it as .csv, .xlsx or .jsonl",
    )  # fmt: skip


def flawed(shown: str, row: int, column: int, text: str, meant: str = "") -> FlawedKnowledge:
    """The error for one thing wrong with a file as a whole."""
    return FlawedKnowledge((Flaw(shown, row, column, text, meant),))


def checked_header(cells: Sequence[Cell], shown: str, row: int) -> list[str]:
    """The names of the columns; raises FlawedKnowledge for names that stand twice, or too many columns."""
    names = [" ".join(str(cell).split()) for cell in cells]
    while names and not names[-1]:
        names.pop()
    if not names:
        raise flawed(shown, row, 1, "the first row holds no names of columns")
    if len(names) > MOST_COLUMNS:
        raise flawed(shown, row, MOST_COLUMNS, f"there are {len(names)} columns; {MOST_COLUMNS} are the most")
    flaws, seen = [], dict[str, int]()
    for column, name in enumerate(names, 1):
        key = name.casefold()
        if name and key in seen:
            text = f"column {quoted(name)} stands twice (first as column {seen[key]}); give one another name"
            flaws.append(Flaw(shown, row, column, text))
        elif not all(letter.isprintable() for letter in name):
            flaws.append(Flaw(shown, row, column, "a control character stands in the name of this column"))
        seen.setdefault(key, column)
    if flaws:
        raise FlawedKnowledge(tuple(flaws))
    return names


@dataclass(slots=True)
class CsvRows:
    """Rows of comma separated values (RFC 4180); also with semicolons or tabs, as spreadsheets write them.

    Which of the three separates is seen from the header.
    """

    path: Path
    form: FileForm
    shown: str
    header: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    delimiter: str = ","
    encoding: str = ""
    header_row: int = 1
    _lines: Any = None

    def __post_init__(self) -> None:
        """Read the header."""
        self.encoding = self.form.encoding or encoding_of(self.path, self.shown)
        number, line = self._first_line()
        if "\x00" in line:
            text = "holds NUL characters; save it as CSV in UTF-8"
            raise flawed(self.shown, number, 1, text)
        self.delimiter = max(",;\t", key=line.count)
        for at, row in self._parsed(number - 1):
            if isinstance(row, BadRow):
                raise flawed(self.shown, at, row.column, row.why)
            self.header = checked_header(row, self.shown, at)
            self.header_row = at
            return

    def __iter__(self) -> Iterator[tuple[int, Row]]:
        """The rows below the header."""
        rows = self._parsed(self.header_row - 1, len(self.header))
        next(rows, None)
        return rows

    def done(self) -> float:
        """The part of the file's bytes that has been read."""
        return self._lines.done() if self._lines is not None else 0.0

    def close(self) -> None:
        """Let go of the file."""
        if self._lines is not None:
            self._lines.close()

    def _first_line(self) -> tuple[int, str]:
        try:
            for number, line in enumerate(self._open(), 1):
                if line.strip() and number >= self.form.header_row:
                    return number, line
        except UnicodeError:
            raise self._lines.undecodable() from None
        raise flawed(self.shown, 1, 1, "the file holds nothing")

    def _open(self) -> Any:
        self.close()
        self._lines = TextLines(self.path, self.encoding, self.shown)
        return iter(self._lines)

    def _parsed(self, skipped: int, width: int = 0) -> Iterator[tuple[int, Row]]:
        """Every row that is not empty after so many lines, with the number of the line where it begins.

        With a width a row of another is told as such.
        """
        lines = self._open()
        for _ in range(skipped):
            next(lines)
        # The limit is the module's; it is low enough that a quote left open is noticed soon.
        csv.field_size_limit(LONGEST_CELL)
        reader = csv.reader(lines, delimiter=self.delimiter)
        begins = skipped + 1
        while True:
            try:
                for row in reader:
                    if len(row) == width and row[0]:
                        yield begins, row
                    elif any(row) and (len(row) > 1 or row[0].strip()):
                        yield begins, (row if len(row) == width or not width else self._ragged(row, width))
                    begins = skipped + reader.line_num + 1
                return
            except csv.Error as error:
                yield begins, BadRow((), 1, _why(str(error)))
                begins = skipped + reader.line_num + 1
            except UnicodeError:
                raise self._lines.undecodable() from None

    def _ragged(self, row: list[str], width: int) -> Row:
        if row == [TOO_LONG]:
            return BadRow((), 1, f"the line holds more than {LONGEST_LINE:,} characters")
        if len(row) > width and not any(cell.strip() for cell in row[width:]):
            return row[:width]
        text = f"the row has {len(row)} cells, the header {width}"
        return BadRow(row, min(len(row), width) + 1, text)


def _why(problem: str) -> str:
    if "limit" in problem:
        return f"a cell holds more than {LONGEST_CELL:,} characters, or a quote is opened and never closed"
    return "the row cannot be split into cells: a quote or a line end stands where none belongs"
