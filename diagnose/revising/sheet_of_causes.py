"""A spreadsheet of causes and checks, read as the draft of a tree.

Each row says in its column `row` what it is: symptom, system, refer_to, cured_when, also_said, caution,
source, ask_first, not_listed, event, cause, check or others. A column that bears the id of a check holds, in
the row of a cause or event, what that check would show if this were the fault; in the row `others`, what it
shows otherwise. The columns are described in docs/writing-trees.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path

from diagnose.cases.import_rows import FileForm, flawed, open_rows
from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import Common
from diagnose.knowledge.fields import GATES
from diagnose.knowledge.ids import nearest, quoted
from diagnose.revising.drafting import NOWHERE, Draft, Part, Place
from diagnose.revising.rendering import Value
from diagnose.revising.sheet_of_causes_cells import answers_of, expectation_of, ids_of, remedy_of
from diagnose.revising.sheet_of_causes_rows import COLUMNS, EFFORT, NUMBERS, SheetRow, SheetRows
from diagnose.terms import Flaw

_KINDS = (".csv", ".tsv", ".txt", ".xlsx")
_LISTED = ("also_said", "caution", "source", "ask_first")
_NEEDED: Mapping[str, Value] = {
    "symptom": "It is so", "system": "body", "refer_to": "workshop", "cured_when": {"ask": "Is it well?"},
}  # fmt: skip
"""The rows that there must be, and what stands for one that is missing, so that it is told once."""
_EXPECTING = ("event", "cause", "others")


def read_sheet(path: Path, shown: str, common: Common) -> tuple[Draft, tuple[Flaw, ...]]:
    """The draft that a sheet holds, with everything that is wrong with its form.

    Raises FlawedKnowledge where the file cannot be read at all.
    """
    if path.suffix.lower() not in _KINDS:
        raise flawed(shown, 1, 1, "is no kind of sheet that is read here; save it as .csv or .xlsx")
    with closing(open_rows(path, FileForm(), shown)) as rows:
        reader = _Reader(shown, rows.header, getattr(rows, "header_row", 1), common)
        return reader.read(rows), tuple(sorted(set(reader.flaws)))


class _Reader(SheetRows):
    def read(self, found: Iterable[tuple[int, object]]) -> Draft:
        if "row" not in self.header:
            self.flaw((self.header_row, 1), 'the first row lacks the column "row", which says what a row is')
            return Draft(Part(""))
        rows = self.rows(found)
        checks = {row.cells["id"]: self._check(row) for row in rows if row.kind == "check"}
        draft = Draft(self._head(rows), checks=list(checks.values()))
        draft.events = [self._event(row) for row in rows if row.kind in ("event", "cause")]
        self._judge_under(draft, rows)
        self._expectations(rows, checks)
        draft.checks = list(checks.values())
        return draft

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
                minutes = self.number(row, "minutes")
                head.values[key] = {"ask": says, **({"minutes": minutes} if minutes is not None else {})}
            elif row.kind == "not_listed":
                head.values[key] = self.figure(says, "not_listed", place)
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
        for key in EFFORT:
            value = self.number(row, key) if key in NUMBERS else row.cells[key]
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
        share = self.number(row, "in_100")
        if share is not None:
            part.values["in_100"] = share
        return part

    def _check(self, row: SheetRow) -> Part:
        part = self._part(row)
        if "says" in part.values:
            part.values["ask"] = part.values.pop("says")
        part.places["ask"] = self.place(row, "says")
        for key in EFFORT:
            value = self.number(row, key) if key in NUMBERS else row.cells[key]
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


def placed_in_sheet(flaws: Iterable[Flaw], places: Sequence[Place], sheet: str) -> tuple[Flaw, ...]:
    """Flaws of the text that was made from a sheet, told at the cell that each line came from."""

    def placed(flaw: Flaw) -> Flaw:
        row, column = places[flaw.line - 1] if flaw.line <= len(places) else NOWHERE
        return Flaw(sheet, row, column, flaw.text, flaw.meant)

    return tuple(sorted({placed(flaw) for flaw in flaws}))
