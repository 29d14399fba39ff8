"""The rows that were refused, in the form in which they came and with the reason beside them.

They are to be mended and read again; the column `reason` is then left out. Written as the reading goes on, to
a file beside the one that is wanted, and put in its place when it is whole.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from diagnose.cases.cells import as_it_was, disarmed
from diagnose.cases.import_rows import REASON
from diagnose.knowledge.ids import quoted
from diagnose.terms import WrongUsage


class RefusedRows:
    """A file of refused rows; it comes into being with the first of them."""

    def __init__(self, path: Path, header: Sequence[str], like: Path, delimiter: str = ",") -> None:
        self._had_reason = bool(header) and header[-1].casefold() == REASON
        self.header = [*header[:-1]] if self._had_reason else [*header]
        self.path, self.delimiter = path, delimiter
        self.kind = like.suffix.lower()
        self.number = 0
        self._part = path.with_name(f".{path.name}.part")
        self._stream: Any = None
        self._sheet: Any = None
        self._writer: Any = None
        if path.suffix.lower() != self.kind:
            raise WrongUsage(f"refused rows are kept in the form in which they came: name a file {self.kind}")
        if path.exists() or path.is_symlink():
            raise WrongUsage(f"{path} is there already and is left as it is; write another name")
        if not path.absolute().parent.is_dir():
            raise WrongUsage(f"there is no folder {quoted(str(path.absolute().parent))}")

    def add(self, at: int, cells: Sequence[Any], reason: str) -> None:
        """One row; of one whose cells could not be told apart only its place is written."""
        if not self.number:
            self._begin()
        self.number += 1
        cells = list(cells) if cells else [f"(row {at} could not be read)"]
        beyond = [str(cell) for cell in cells[len(self.header) + self._had_reason :] if cell != ""]
        if beyond:
            reason += f" (beyond the header: {', '.join(map(quoted, beyond))})"
        cells = cells[: len(self.header)] + [""] * (len(self.header) - len(cells))
        if self.kind == ".xlsx":
            self._sheet.append([self._cell(cell) for cell in (*cells, reason)])
        elif self._writer is not None:
            self._writer.writerow([_inert(cell) for cell in (*cells, reason)])
        else:
            line = {key: cell for key, cell in zip(self.header, cells, strict=False) if cell != ""}
            self._stream.write(json.dumps(line | {REASON: reason}, ensure_ascii=False) + "\n")

    def finish(self) -> bool:
        """Puts the file in its place; whether there is one."""
        if not self.number:
            return False
        if self.kind == ".xlsx":
            self._stream.save(self._part)
        else:
            self._stream.close()
        self._part.replace(self.path)
        self.number = 0
        return True

    def drop(self) -> None:
        """Leaves nothing behind of what was not finished."""
        if self._stream is not None:
            self._stream.close()
        self._part.unlink(missing_ok=True)

    def _begin(self) -> None:
        header = [*self.header, REASON]
        if self.kind == ".xlsx":
            from openpyxl import Workbook

            self._stream = Workbook(write_only=True)
            self._sheet = self._stream.create_sheet("refused")
            self._sheet.append([self._cell(name) for name in header])
            return
        self._stream = self._part.open("w", encoding="utf-8", newline="")
        if self.kind not in (".jsonl", ".ndjson"):
            self._stream.write("\ufeff")  # else spreadsheets take it for an older encoding
            self._writer = csv.writer(self._stream, delimiter=self.delimiter)
            self._writer.writerow(header)

    def _cell(self, value: Any) -> Any:
        """A cell that stays a text, whatever it begins with."""
        if not isinstance(value, str):
            return value
        from openpyxl.cell import WriteOnlyCell
        from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

        cell = WriteOnlyCell(self._sheet, ILLEGAL_CHARACTERS_RE.sub("\ufffd", value))
        cell.data_type = "s"
        return cell


def _inert(cell: object) -> object:
    """A cell that no spreadsheet works out, and that means the same when it is read again."""
    return disarmed(as_it_was(cell)) if isinstance(cell, str) else cell
