"""The locker card as plain text, as wide as the terminal and, at the width of a printer, one page long."""

from __future__ import annotations

import shutil
from collections.abc import Sequence

from diagnose.drawing.locker_card import plain_line
from diagnose.drawing.locker_page import Section, shortened
from diagnose.terminal.layout import Page
from diagnose.terminal.sentences import ended
from diagnose.walking.views import NO_CERTIFICATE

COLUMNS, LINES = 80, 60
"""What a sheet of A4 takes of plain text at ten letters and six lines to the inch, within margins."""


def page_of_text(
    name: str, sections: Sequence[Section]
) -> tuple[tuple[Section, ...], tuple[tuple[str, int], ...]]:
    """What fits one page as plain text, and what is left off (heading, how many lines)."""

    def fits(kept: Sequence[Section], left_off: str) -> bool:
        return len(locker_text(name, kept, left_off, COLUMNS).splitlines()) <= LINES

    return shortened(sections, fits)


def locker_text(
    name: str, sections: Sequence[Section], left_off: str = "", columns: int | None = None
) -> str:
    """All that is given, with a line end behind every line; no control characters."""
    page = Page(shutil.get_terminal_size().columns if columns is None else columns)
    page.say(name.upper()).gap()
    for section in sections:
        page.say(section.title)
        for entry in section.entries:
            page.hang("- ", ended(plain_line(entry)))
        page.gap()
    return page.say(left_off).say(NO_CERTIFICATE).text() + "\n"
