"""Job histories to test with: two small trees of their own, and ways to write rows into each kind of file."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from openpyxl import Workbook

from diagnose.cases.import_cases import Report
from diagnose.cases.import_known import KnownIds
from diagnose.cases.import_mapping import ImportMapping, mapping_of
from diagnose.cases.import_run import History
from diagnose.knowledge.collection import Library, shipped_folder

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
TREE = """
symptom: {says}
system: habitation-electrics
also_said: [{also}]
refer_to: workshop
cured_when: {{ask: Has it run for a minute?, minutes: 2}}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch is off
      was: [switch-off]
      in_100: 40
      remedy: {{do: Press the switch, by: owner, hands: controls, minutes: 1}}
      prevent: Leave the switches on at the lay-up
    bulb-gone:
      says: The bulb has gone
      in_100: 35
      remedy: {{do: Put a new bulb in, by: owner, hands: controls, minutes: 5}}
      prevent: Keep two bulbs of the right kind in the drawer
    both:
      says: Two things came together
      in_100: 10
      all_of:
        old-wire:
          says: The wire is old
          remedy: {{refer: workshop}}
          prevent: Have the wiring looked at with the yearly check
        damp-socket:
          says: The socket is damp
          remedy: {{refer: workshop}}
          prevent: Keep the window shut
checks:
  switch-click:
    ask: Which way does the switch stand?
    hands: look
    by: owner
    minutes: 1
    was: [which-way]
    answers: {{up: It stands at on, down: It stands at off}}
    expect: {{switched-off: {{down: almost certain}}, otherwise: {{up: almost certain}}}}
  {own}:
    ask: What does the panel show in volts?
    hands: look
    by: owner
    minutes: 2
    reading: {{unit: V, range: [0, 16], uncertainty: 0.1}}
    bands: {{dead: {{below: 6}}, alive: {{from: 6}}}}
    expect: {{both: {{dead: almost certain}}, otherwise: {{alive: almost certain}}}}
sources: [shares are judgement]
"""
HEADER = ["case", "date", "symptom", "cause", "vehicle", "state", "switch-click", "volts-at-lamp"]
GOOD = ["17", "2025-06-01", "lamp-dark", "bulb-gone", "van 1", "cured", "down", "12.4"]


@cache
def ids() -> KnownIds:
    """The two trees, with the shipped common files."""
    folder = Path(mkdtemp(prefix="trees"))
    (folder / "common").symlink_to(shipped_folder() / "common")
    lamp = TREE.format(says="The lamp stays dark", also="lamp dead, no light", own="volts-at-lamp")
    fan = TREE.format(says="The fan stands still", also="fan dead", own="volts-at-fan")
    (folder / "lamp-dark.yaml").write_text(lamp, encoding="utf-8")
    (folder / "fan-still.yaml").write_text(fan, encoding="utf-8")
    return KnownIds(Library(shipped=folder))


def history(path: Path, mapping: str = "", *, plates: bool = False) -> History:
    """A file with the mapping of a text."""
    read = mapping_of(mapping, "m.yaml") if mapping else ImportMapping()
    return History(path, path.name, ids(), NOW, read, plates)


def reported(path: Path, mapping: str = "", *, plates: bool = False) -> Report:
    """What reading a file comes to."""
    report, spool = history(path, mapping, plates=plates).read()
    spool.close()
    return report


def cases_in(path: Path, mapping: str = "") -> list[tuple]:
    """The cases that a file holds, all of whose rows are good."""
    report, spool = history(path, mapping).read()
    with closing(spool):
        assert not report.flaws, "\n".join(str(flaw) for flaw, _ in report.flaws)
        return [case for batch in spool for case in batch]


def said(report: Report) -> list[str]:
    """Every flaw without the file's name."""
    return [str(flaw).partition(":")[2] for flaw, _ in report.flaws]


def write(path: Path, rows: Sequence[Sequence[object]], header: Sequence[str] = HEADER) -> Path:
    """The rows as a file of the kind that its ending tells."""
    if path.suffix == ".csv":
        with path.open("w", newline="", encoding="utf-8") as stream:
            csv.writer(stream).writerows([header, *rows])
    elif path.suffix == ".xlsx":
        book = Workbook()
        for row in [header, *rows]:
            book.active.append(list(row))
        book.save(path)
    else:
        lines = [json.dumps(dict(zip(header, row, strict=False))) for row in rows]
        path.write_text("".join(line + "\n" for line in lines), encoding="utf-8")
    return path


def row(**changes: str) -> list[str]:
    """The good row with some cells changed, by the names of their columns with `_` for `-`."""
    cells = dict(zip(HEADER, GOOD, strict=True))
    return list((cells | {name.replace("_", "-"): text for name, text in changes.items()}).values())
