"""The list of cases as CSV (RFC 4180), with the header that `diagnose cases import` reads."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from diagnose.cases.browsing import Listed
    from diagnose.cases.selecting import Wanted
    from diagnose.cases.store import CaseStore

HEADER = ("case", "date", "symptom", "cause", "vehicle", "state")


def write_csv(kept: CaseStore | None, wanted: Wanted, target: Path | None) -> None:
    """Write a row for each case, then a column for each check that any of them has a finding of.

    A file is written beside its place and takes it when it is whole. A reading stands as its number, in the
    check's unit; a cause only where it is confirmed.
    """
    from diagnose.cases.browsing import checks_found, listed
    from diagnose.cases.cells import disarmed

    checks = checks_found(kept, wanted) if kept is not None else ()
    with _opened(target) as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow((*HEADER, *map(disarmed, checks)))
        for each in listed(kept, wanted, with_findings=True) if kept is not None else ():
            writer.writerow([disarmed(cell) for cell in _row(each, checks)])


def _row(listed: Listed, checks: tuple[str, ...]) -> list[str]:
    record = listed.record
    found = {
        line.subject: f"{line.value:.12g}" if line.value is not None else line.answer or ""
        for line in listed.findings
    }
    return [
        str(record.case),
        f"{record.opened.astimezone():%Y-%m-%d}",
        record.symptom,
        record.cause if record.confirmed else "",
        record.vehicle,
        record.state,
        *(found.get(check, "") for check in checks),
    ]


@contextmanager
def _opened(target: Path | None) -> Iterator[TextIO]:
    if target is None or str(target) == "-":
        yield sys.stdout
        return
    beside = target.with_name(f".{target.name}.part")
    try:
        with beside.open("w", encoding="utf-8-sig", newline="") as stream:
            yield stream
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
