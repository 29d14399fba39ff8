"""A spreadsheet of causes and checks, read as the draft of a tree.

Each row says in its column `row` what it is: symptom, system, refer_to, cured_when, also_said, caution,
source, ask_first, not_listed, event, cause, check or others. A column that bears the id of a check holds, in
the row of a cause or event, what that check would show if this were the fault; in the row `others`, what it
shows otherwise. The columns are described in docs/writing-trees.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.cases.import_rows import BadRow, FileForm, open_rows
from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import Common
from diagnose.knowledge.fields import GATES
from diagnose.knowledge.ids import nearest, quoted, why_no_id
from diagnose.revising.drafting import NOWHERE, Draft, Part, Place
from diagnose.revising.rendering import Value
from diagnose.revising.sheet_of_causes_cells import (
    FORMULA,
    answers_of,
    expectation_of,
    ids_of,
    number_of,
    remedy_of,
)
from diagnose.terms import Flaw

MOST_ROWS = 2000
COLUMNS = (
    "row", "id", "says", "under", "gate", "hazard", "in_100", "remedy", "by", "hands", "minutes", "wait",
    "price", "at", "how", "prevent", "answers", "stop_on", "refer",
)  # fmt: skip
NUMBERS = ("in_100", "minutes", "wait", "price")
_EFFORT = ("by", "hands", "minutes", "wait", "price", "at", "how")
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
    "cause": ("id", "says", "under", "hazard", "in_100", "remedy", *_EFFORT, "prevent"),
    "check": ("id", "says", "hazard", *_EFFORT, "answers", "stop_on", "refer"),
    "others": (),
}
"""The kinds of rows, and the columns that each of them fills."""
_ONCE = ("symptom", "system", "refer_to", "cured_when", "not_listed", "others")
_LISTED = ("also_said", "caution", "source", "ask_first")
_NEEDED: Mapping[str, Value] = {
    "symptom": "It is so", "system": "body", "refer_to": "workshop", "cured_when": {"ask": "Is it well?"},
}  # fmt: skip
"""The rows that there must be, and what stands for one that is missing, so that it is told once."""
_EXPECTING = ("event", "cause", "others")


@dataclass(slots=True)
class SheetRow:
    """A row that holds something: its number, its kind, and its cells by column."""

    number: int
    kind: str
    cells: Mapping[str, str]


def read_sheet(path: Path, shown: str, common: Common) -> tuple[Draft, tuple[Flaw, ...]]:
    """The draft that a sheet holds, with everything that is wrong with its form.

    Raises FlawedKnowledge where the file cannot be read at all.
    """
    with closing(open_rows(path, FileForm(), shown)) as rows:
        reader = _Reader(shown, rows.header, getattr(rows, "header_row", 1), common)
        return reader.read(rows), tuple(sorted(set(reader.flaws)))


@dataclass(slots=True)
class _Reader:
    file: str
    header: Sequence[str]
    header_row: int
    common: Common
    flaws: list[Flaw] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    """Kinds and ids that stand once -> their row."""

    def flaw(self, place: Place, text: str, meant: str = "") -> None:
        self.flaws.append(Flaw(self.file, *place, text, meant))

    def place(self, row: SheetRow, column: str) -> Place:
        return row.number, (self.header.index(column) + 1 if column in self.header else 1)

    def read(self, found: Iterable[tuple[int, object]]) -> Draft:
        if "row" not in self.header:
            self.flaw((self.header_row, 1), 'the first row lacks the column "row", which says what a row is')
            return Draft(Part(""))
        rows = self._rows(found)
        checks = {row.cells["id"]: self._check(row) for row in rows if row.kind == "check"}
        draft = Draft(self._head(rows), checks=list(checks.values()))
        draft.events = [self._event(row) for row in rows if row.kind in ("event", "cause")]
        self._judge_under(draft, rows)
        self._expectations(rows, checks)
        draft.checks = list(checks.values())
        return draft

    def _rows(self, found: Iterable[tuple[int, object]]) -> list[SheetRow]:
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

    def _head(self, rows: Sequence[SheetRow]) -> Part:
        head = Part("", place=(self.header_row, 1))
        lists: dict[str, list[Value]] = {key: [] for key in _LISTED}
        for row in rows:
            place, says = self.place(row, "says"), row.cells["says"]
            if row.kind in ("event", "cause", "check", "others"):
                continue
            key = {"caution": "cautions", "source": "sources"}.get(row.kind, row.kind)
            head.places.setdefault(key, place)
            if not says:
                self.flaw(place, f"{row.kind} says nothing")
                head.values |= {kind: value for kind, value in _NEEDED.items() if kind == row.kind}
            elif row.kind in lists:
                lists[row.kind].append(says)
                head.values[key] = lists[row.kind]
            elif row.kind == "cured_when":
                minutes = self._number(row, "minutes")
                head.values[key] = {"ask": says, **({"minutes": minutes} if minutes is not None else {})}
            elif row.kind == "not_listed":
                head.values[key] = self._figure(says, "not_listed", place)
            else:
                head.values[key] = says
            if row.kind == "symptom":
                head.id, head.place = row.cells["id"], (row.number, 1)
        for kind, instead in _NEEDED.items():
            if kind not in self.seen:
                self.flaw(NOWHERE, f"the sheet lacks a row {kind}")
                head.values[kind] = instead
        return head

    def _event(self, row: SheetRow) -> Part:
        part = self._part(row)
        part.under = row.cells["under"]
        if row.kind == "event":
            part.gate = row.cells["gate"] or "any_of"
            if part.gate not in GATES:
                self.flaw(
                    self.place(row, "gate"), f"gate is {quoted(part.gate)}; it wants any_of or all_of",
                    nearest(part.gate, GATES),
                )  # fmt: skip
                part.gate = "any_of"
            return part
        remedy = dict(remedy_of(row.cells["remedy"]))
        for key in _EFFORT:
            value = self._number(row, key) if key in NUMBERS else row.cells[key]
            if value not in (None, ""):
                remedy[key] = value
        if remedy:
            part.values["remedy"] = remedy
        if not row.cells["says"]:
            part.values.pop("says", None)
        return part

    def _part(self, row: SheetRow) -> Part:
        """What events, causes and checks have alike."""
        part = Part(row.cells["id"], place=(row.number, 1))
        part.places = {column: self.place(row, column) for column in COLUMNS if column in self.header}
        for key in ("says", "prevent"):
            if row.cells[key]:
                part.values[key] = row.cells[key]
        if hazards := ids_of(row.cells["hazard"]):
            part.values["hazard"] = hazards[0] if len(hazards) == 1 else list(hazards)
        share = self._number(row, "in_100")
        if share is not None:
            part.values["in_100"] = share
        return part

    def _check(self, row: SheetRow) -> Part:
        part = self._part(row)
        if "says" in part.values:
            part.values["ask"] = part.values.pop("says")
        part.places["ask"] = self.place(row, "says")
        for key in _EFFORT:
            value = self._number(row, key) if key in NUMBERS else row.cells[key]
            if value not in (None, ""):
                part.values[key] = value
        answers, wrong = answers_of(row.cells["answers"])
        if wrong:
            self.flaw(self.place(row, "answers"), wrong)
        part.values["answers"] = answers
        if stops := ids_of(row.cells["stop_on"]):
            part.values["stop_on"] = stops[0] if len(stops) == 1 else list(stops)
        if row.cells["refer"]:
            part.values["refer"] = row.cells["refer"]
        return part

    def _judge_under(self, draft: Draft, rows: Sequence[SheetRow]) -> None:
        """What `under` names is an event, and no event stands below itself."""
        by_number = {row.number: row for row in rows}
        gates = {part.id: part for part in draft.events if part.gate}
        for part in draft.events:
            row = by_number[part.place[0]]
            if part.under and part.under not in gates:
                text = f"under names {quoted(part.under)}, which is no event here"
                self.flaw(self.place(row, "under"), text, nearest(part.under, gates))
                part.under = ""
        for part in gates.values():
            above, way = part.under, {part.id}
            while above and above not in way:
                way.add(above)
                above = gates[above].under
            if above == part.id:
                self.flaw(
                    self.place(by_number[part.place[0]], "under"), f"{quoted(part.id)} stands below itself"
                )
                part.under = ""

    def _expectations(self, rows: Sequence[SheetRow], checks: dict[str, Part]) -> None:
        """The cells where a cause meets a check; a column may also bear the id of a fact."""
        known = {*checks, *self.common.facts, *self.common.checks}
        for column in self.header:
            if column in COLUMNS or not column:
                continue
            if column not in known:
                place = (self.header_row, self.header.index(column) + 1)
                text = f"column {quoted(column)} is neither known nor the id of a check or fact here"
                self.flaw(place, text, nearest(column, [*COLUMNS, *known]))
                continue
            for row in rows:
                if row.cells.get(column):
                    self._expectation(row, column, checks)

    def _expectation(self, row: SheetRow, column: str, checks: dict[str, Part]) -> None:
        place = self.place(row, column)
        if row.kind not in _EXPECTING:
            self.flaw(
                place, f"what a check shows stands in rows {', '.join(_EXPECTING)}, not in a row {row.kind}"
            )
            return
        check = checks.setdefault(column, Part(column, place=(self.header_row, place[1])))
        id = OTHERWISE if row.kind == "others" else row.cells["id"]
        weights, wrong = expectation_of(row.cells[column])
        if wrong:
            self.flaw(place, wrong)
            return
        check.expect[id] = weights
        check.places[f"expect {id}"] = place

    def _number(self, row: SheetRow, column: str) -> float | None:
        """The number of a cell, None where it is empty; one that is none is noted, and 1 stands for it."""
        text = row.cells[column]
        if not text or column not in TAKES[row.kind]:
            return None
        return self._figure(text, column, self.place(row, column))

    def _figure(self, text: str, called: str, place: Place) -> float:
        number, wrong = number_of(text)
        if wrong:
            self.flaw(place, f"{called} is {quoted(text)}{wrong}")
        return number


def placed_in_sheet(flaws: Iterable[Flaw], places: Sequence[Place], sheet: str) -> tuple[Flaw, ...]:
    """Flaws of the text that was made from a sheet, told at the cell that each line came from."""

    def placed(flaw: Flaw) -> Flaw:
        row, column = places[flaw.line - 1] if flaw.line <= len(places) else NOWHERE
        return Flaw(sheet, row, column, flaw.text, flaw.meant)

    return tuple(sorted({placed(flaw) for flaw in flaws}))
