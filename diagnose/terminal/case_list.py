"""Past cases as a list: a table where the screen is wide enough, else some lines for each."""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class ListedPart:
    """The cases of a list that are shown, and what is told of all that fit."""

    records: Sequence[CaseRecord]
    """Those that are shown, in their order."""
    counts: Mapping[tuple[State, bool], int]
    """(state, confirmed) -> how many fit."""
    place: str
    """Where the store is."""
    filtered: bool = False
    """Whether only some cases were asked for."""
    codes: Mapping[int, str] | None = None
    """Case -> its code, in a list of those whose outcome is waited for."""

    @property
    def number(self) -> int:
        """How many cases fit."""
        return sum(self.counts.values())


def case_list(part: ListedPart, width: int, options: Sequence[str] = ()) -> str:
    """The list as plain text, its last line without an end. `options` go with the commands that it names."""
    page = Page(width)
    if not part.records:
        return _nothing(part, page, options)
    table = _table(part)
    if max(map(display_width, table)) <= page.width:
        text = "\n".join(table)
    else:
        for record in part.records:
            _entry(page, record, part.codes)
        text = page.text()
    return f"{text}\n\n{_foot(part, width, options)}"


def command(*words: str) -> str:
    """A command to type, quoted as a shell wants it."""
    return shlex.join(["diagnose", *words])


def day(moment: datetime) -> str:
    """The day where the user is, as `2026-03-01`."""
    return f"{moment.astimezone():%Y-%m-%d}"


def _nothing(part: ListedPart, page: Page, options: Sequence[str]) -> str:
    if part.codes is not None:
        return page.say("No outcome is waited for: every referral and stop has told what it was.").text()
    if part.filtered:
        return page.say("No case fits that.").say(f"To see all: {command('cases', 'list', *options)}").text()
    # A path broken into lines could not be copied.
    return f"No case is kept yet in {clean(part.place)}\nTo begin one: {command('walk', *options)}"


def _table(part: ListedPart) -> list[str]:
    records = part.records
    heads = ["CASE", "OPENED", "STATE", "SYMPTOM", "TURNED OUT TO BE", "CODE", "VEHICLE"]
    rows: list[list[str]] = [heads] + [
        [
            str(record.case),
            day(record.opened),
            STATES[record.state],
            clean(record.symptom),
            clean(record.cause) if record.confirmed else NOT_CONFIRMED,
            (part.codes or {}).get(record.case, ""),
            clean(record.vehicle),
        ]
        for record in records
    ]
    left_out = {"CODE"} if part.codes is None else {"STATE", "TURNED OUT TO BE"}
    if not any(record.vehicle for record in records):
        left_out.add("VEHICLE")
    kept = [at for at, head in enumerate(heads) if head not in left_out]
    cut = [[row[at] for at in kept] for row in rows]
    widths = [max(map(display_width, column)) for column in zip(*cut, strict=True)]
    return [_row(row, widths) for row in cut]


def _row(cells: Sequence[str], widths: Sequence[int]) -> str:
    """Numbers to the right, words to the left."""
    spaces = [" " * (width - display_width(cell)) for cell, width in zip(cells, widths, strict=True)]
    number, *words = zip(cells, spaces, strict=True)
    return "  ".join([number[1] + number[0], *(cell + space for cell, space in words)]).rstrip()


def _entry(page: Page, record: CaseRecord, codes: Mapping[int, str] | None) -> None:
    of = f" ({record.vehicle})" if record.vehicle else ""
    page.hang(f"{record.case}  ", f"{day(record.opened)}, {STATES[record.state]}", indent=0)
    page.say(f"{record.symptom}{of}", indent=4)
    if codes is None:
        page.say(f"it was: {record.cause}" if record.confirmed else NOT_CONFIRMED, indent=4)
    elif codes.get(record.case):
        page.say(f"code {codes[record.case]}", indent=4)


def _foot(part: ListedPart, width: int, options: Sequence[str]) -> str:
    shown, number = len(part.records), part.number
    noun = "case" if number == 1 else "cases"
    page = Page(width)
    if part.codes is not None:
        wait = "waits" if number == 1 else "wait"
        page.say(f"{number:,} {noun} {wait} for an outcome, the longest first.")
        _more(page, shown, number, "longest waiting")
        page.say("Once it is known, CASE or its code and the cause:")
        return page.say(command("cases", "confirm", "CASE", "CAUSE", *options), indent=2).text()
    confirmed = sum(many for (_, sure), many in part.counts.items() if sure)
    page.say(" ".join([f"{number:,} {noun}, {confirmed:,} confirmed.", *_untold(part.counts)]))
    _more(page, shown, number, "newest")
    return page.say(f"To see one: {command('cases', 'show', str(part.records[0].case), *options)}").text()


def _more(page: Page, shown: int, number: int, which: str) -> None:
    if shown < number:
        page.say(f"These are the {shown:,} {which}; {number - shown:,} more with: --last {number}")


def _untold(counts: Mapping[tuple[State, bool], int]) -> list[str]:
    """What is not known of cases that others took over: they do not report themselves."""
    sentences = []
    for state in ("referred", "stopped"):
        told = Counter({sure: many for (ended, sure), many in counts.items() if ended == state})
        known = what_came_back(state, told[True] + told[False], told[True])
        sentences += [f"{known}."] if known else []
    return sentences
