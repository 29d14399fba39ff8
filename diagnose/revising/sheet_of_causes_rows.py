"""The rows of a sheet of causes: of which kind each is, and whether its cells are where they may be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.cases.import_rows import BadRow
from diagnose.knowledge import characters
from diagnose.knowledge.common import Common
from diagnose.knowledge.ids import nearest, quoted, why_no_id
from diagnose.revising.drafting import Place
from diagnose.revising.sheet_of_causes_cells import FORMULA, number_of
from diagnose.terms import Flaw

MOST_ROWS = 2000
COLUMNS = (
    "row", "id", "says", "under", "gate", "hazard", "in_100", "remedy", "by", "hands", "minutes", "wait",
    "price", "at", "how", "prevent", "answers", "stop_on", "refer",
)  # fmt: skip
NUMBERS = ("in_100", "minutes", "wait", "price")
EFFORT = ("by", "hands", "minutes", "wait", "price", "at", "how")
TAKES: Mapping[str, tuple[str, ...]] = {
    "symptom": ("id", "says"),
    "system": ("says",),
    "refer_to": ("says",),
    "cured_when": ("says", "minutes"),
    "also_said": ("says",),
    "caution": ("says",),
    "source": ("says",),
    "ask_first": ("says",),
    "not_listed": ("says",),
    "event": ("id", "says", "under", "gate", "hazard", "in_100", "prevent"),
    "cause": ("id", "says", "under", "hazard", "in_100", "remedy", *EFFORT, "prevent"),
    "check": ("id", "says", "hazard", *EFFORT, "answers", "stop_on", "refer"),
    "others": (),
}
"""The kinds of rows, and the columns that each of them fills."""
_ONCE = ("symptom", "system", "refer_to", "cured_when", "not_listed", "others")


@dataclass(slots=True)
class SheetRow:
    """A row that holds something: its number, its kind, and its cells by column."""

    number: int
    kind: str
    cells: Mapping[str, str]


@dataclass(slots=True)
class SheetRows:
    """Reads rows one by one and notes what is wrong with each."""

    file: str
    header: Sequence[str]
    header_row: int
    common: Common
    flaws: list[Flaw] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    """Kinds and ids that stand once -> their row."""

    def flaw(self, place: Place, text: str, meant: str = "") -> None:
        """Note what is wrong at a cell."""
        self.flaws.append(Flaw(self.file, *place, text, meant))

    def place(self, row: SheetRow, column: str) -> Place:
        """The cell of a row in a column; the first one where there is no such column."""
        return row.number, (self.header.index(column) + 1 if column in self.header else 1)

    def rows(self, found: Iterable[tuple[int, object]]) -> list[SheetRow]:
        """The rows of a known kind, with ids that are sound; what is wrong with them or others is noted."""
        rows: list[SheetRow] = []
        for number, row in found:
            if len(rows) >= MOST_ROWS:
                self.flaw((number, 1), f"there are more than {MOST_ROWS} rows")
                break
            if isinstance(row, BadRow):
                self.flaw((number, row.column), row.why)
                continue
            assert isinstance(row, list)
            texts = [" ".join(str(cell).split()) for cell in row]
            for column, text in enumerate(texts, 1):
                if text.startswith(FORMULA):
                    self.flaw((number, column), "the cell holds a formula; write what it comes to")
                    texts[column - 1] = ""
                if refused := characters.refused_in_file(text):
                    self.flaw((number, column), characters.described(refused[0][1]))
                    texts[column - 1] = ""
            cells = {name: text for name, text in zip(self.header, texts, strict=False) if name}
            kept = SheetRow(number, cells.get("row", "").lower(), dict.fromkeys(COLUMNS, "") | cells)
            if self._is_sound(kept):
                rows.append(kept)
        return rows

    def _is_sound(self, row: SheetRow) -> bool:
        """Whether the row is of a kind that is known and stands where it may; its other flaws are noted."""
        if row.kind not in TAKES:
            if any(row.cells.values()):
                text = (
                    f"row is {quoted(row.kind)}; it wants {', '.join(TAKES)}" if row.kind else "row is empty"
                )
                self.flaw(self.place(row, "row"), text, nearest(row.kind, TAKES))
            return False
        if row.kind in _ONCE and self._again(row, row.kind, f"a row {row.kind}"):
            return False
        for column in COLUMNS[1:]:
            if row.cells[column] and column not in TAKES[row.kind]:
                self.flaw(
                    self.place(row, column), f"{column} says nothing in a row {row.kind}; leave it empty"
                )
        if "id" not in TAKES[row.kind]:
            return True
        id = row.cells["id"]
        if not id and row.kind != "symptom":
            self.flaw(self.place(row, "id"), f"the {row.kind} has no id")
            return False
        if id and (reason := why_no_id(id)):
            self.flaw(self.place(row, "id"), f"{quoted(id)} {reason}")
            return False
        return row.kind == "symptom" or not self._again(row, id, quoted(id))

    def _again(self, row: SheetRow, what: str, called: str) -> bool:
        first = self.seen.setdefault(what, row.number)
        if first != row.number:
            column = "id" if called.startswith('"') else "row"
            self.flaw(self.place(row, column), f"{called} stands twice (first in row {first})")
        return first != row.number

    def number(self, row: SheetRow, column: str) -> float | None:
        """The number of a cell, None where it is empty; one that is none is noted, and 1 stands for it."""
        text = row.cells[column]
        if not text or column not in TAKES[row.kind]:
            return None
        return self.figure(text, column, self.place(row, column))

    def figure(self, text: str, called: str, place: Place) -> float:
        """The number that a text is; 1 stands for one that is none, which is noted."""
        number, wrong = number_of(text)
        if wrong:
            self.flaw(place, f"{called} is {quoted(text)}{wrong}")
        return number
