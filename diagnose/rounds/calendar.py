"""The due days of a card as an iCalendar file (RFC 5545), which any calendar takes in.

A day that is due is an event of a whole day with a reminder some days before it. An event keeps its UID as
long as the vehicle keeps its name, so a file that is read in again moves what is there and doubles nothing.
Of a card only its name and its dates go into the file, and a name that looks like a number plate does not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from uuid import UUID, uuid5

from diagnose.knowledge.plates import looks_like_a_plate
from diagnose.rounds.due import DueDate
from diagnose.rounds.due_statements import capital, then
from diagnose.walking.carded import in_words

REMIND = 30
"""Days before the due day at which a reminder goes off: long enough to find somebody (judgement)."""

LINE = 75
"""Octets of a line at most, its end apart (RFC 5545, 3.1)."""

_EVENTS = UUID("f831d43d-550d-4345-b41b-9a2919aa828e")
"""The name space of our events, drawn once."""


def calendar(name: str, dues: Iterable[DueDate], stamp: datetime, remind: int = REMIND) -> bytes:
    """The file: an event for each date that has a due day; raises ValueError where none has.

    `name` is what the card calls the vehicle, `stamp` the moment at which this is made; a reminder goes off
    `remind` days before.
    """
    events = [due for due in dues if due.day is not None]
    if not events:
        raise ValueError("a calendar without an event is none")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//leisure-fault-diagnosis//due days//EN"]
    for due in events:
        lines += _event(name, due, stamp, remind)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def _event(name: str, due: DueDate, stamp: datetime, remind: int) -> Sequence[str]:
    assert due.day is not None
    summary = f"{capital(due.kind.says)} due"
    if name and not looks_like_a_plate(name):
        summary += f": {name}"
    written = in_words(due.written) if due.written is not None else ""
    means = {"made": "Of", "done": "Last done", "ends": "Ends"}[due.kind.means]
    described = f"{means} {written} by the card. {then(due.kind)} This reminds, and certifies nothing."
    return (
        "BEGIN:VEVENT",
        f"UID:{uuid5(_EVENTS, f'{name}/{due.of}')}",
        f"DTSTAMP:{stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{due.day:%Y%m%d}",
        f"SUMMARY:{escaped(summary)}",
        f"DESCRIPTION:{escaped(described)}",
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{escaped(summary)}",
        f"TRIGGER:-P{remind}D",
        "END:VALARM",
        "END:VEVENT",
    )


def escaped(text: str) -> str:
    """A text as the value of a property (RFC 5545, 3.3.11), in one line: what no screen shows is a blank.

    >>> escaped("van; red, big\\nEND:VEVENT")
    'van\\\\; red\\\\, big END:VEVENT'
    """
    shown = "".join(letter if letter.isprintable() else " " for letter in text)
    return shown.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")


def folded(line: str) -> bytes:
    """A content line in octets, folded where it is too long, and never within a letter (RFC 5545, 3.1)."""
    return b"\r\n ".join(_pieces(line)) + b"\r\n"


def _pieces(line: str) -> Iterator[bytes]:
    piece, room = b"", LINE
    for letter in line:
        octets = letter.encode()
        if len(piece) + len(octets) > room:
            yield piece
            piece, room = b"", LINE - 1  # a blank goes before what follows
        piece += octets
    yield piece
