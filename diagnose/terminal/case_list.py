"""Past cases as a list: a table where the screen is wide enough, else some lines for each."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from datetime import datetime

from diagnose.cases.records import CaseRecord
from diagnose.terminal.layout import Page
from diagnose.terminal.returning import what_came_back
from diagnose.terminal.wrapping import clean, display_width
from diagnose.terms import State

STATES: dict[State, str] = {
    "open": "open",
    "left-off": "left off",
    "cured": "cured",
    "referred": "referred",
    "stopped": "stopped",
}
NOT_CONFIRMED = "not confirmed"


def case_list(records: Sequence[CaseRecord], place: str, width: int, options: Sequence[str] = ()) -> str:
    """The list as plain text, its last line without an end. `options` go with the commands that it names."""
    page = Page(width)
    if not records:
        # A path broken into lines could not be copied.
        return f"No case is kept yet in {clean(place)}\nTo begin one: {command('walk', *options)}"
    table = _table(records)
    if max(map(display_width, table)) <= page.width:
        text = "\n".join(table)
    else:
        for record in records:
            _entry(page, record)
        text = page.text()
    return f"{text}\n\n{_count(records, width, options)}"


def command(*words: str) -> str:
    """A command to type, quoted as a shell wants it."""
    return shlex.join(["diagnose", *words])


def day(moment: datetime) -> str:
    """The day where the user is, as `2026-03-01`."""
    return f"{moment.astimezone():%Y-%m-%d}"


def _table(records: Sequence[CaseRecord]) -> list[str]:
    rows: list[tuple[str, ...]] = [("CASE", "OPENED", "STATE", "SYMPTOM", "TURNED OUT TO BE", "VEHICLE")]
    rows += [
        (
            str(record.case),
            day(record.opened),
            STATES[record.state],
            clean(record.symptom),
            clean(record.cause) if record.confirmed else NOT_CONFIRMED,
            clean(record.vehicle),
        )
        for record in records
    ]
    if not any(record.vehicle for record in records):
        rows = [row[:-1] for row in rows]
    widths = [max(map(display_width, column)) for column in zip(*rows, strict=True)]
    return [_row(row, widths) for row in rows]


def _row(cells: Sequence[str], widths: Sequence[int]) -> str:
    """Numbers to the right, words to the left."""
    spaces = [" " * (width - display_width(cell)) for cell, width in zip(cells, widths, strict=True)]
    number, *words = zip(cells, spaces, strict=True)
    return "  ".join([number[1] + number[0], *(cell + space for cell, space in words)]).rstrip()


def _entry(page: Page, record: CaseRecord) -> None:
    of = f" ({record.vehicle})" if record.vehicle else ""
    page.hang(f"{record.case}  ", f"{day(record.opened)}, {STATES[record.state]}", indent=0)
    page.say(f"{record.symptom}{of}", indent=4)
    page.say(f"it was: {record.cause}" if record.confirmed else NOT_CONFIRMED, indent=4)


def _count(records: Sequence[CaseRecord], width: int, options: Sequence[str]) -> str:
    confirmed = sum(record.confirmed for record in records)
    noun = "case" if len(records) == 1 else "cases"
    page = Page(width).say(" ".join([f"{len(records)} {noun}, {confirmed} confirmed.", *_untold(records)]))
    return page.say(f"To see one: {command('cases', 'show', str(records[0].case), *options)}").text()


def _untold(records: Sequence[CaseRecord]) -> list[str]:
    """What is not known of cases that others took over: they do not report themselves."""
    sentences = []
    for state in ("referred", "stopped"):
        ended = [record for record in records if record.state == state]
        known = what_came_back(state, len(ended), sum(record.confirmed for record in ended))
        sentences += [f"{known}."] if known else []
    return sentences
