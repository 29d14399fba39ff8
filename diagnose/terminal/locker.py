"""The locker card as plain text, as wide as the terminal."""

from __future__ import annotations

import shutil
from collections.abc import Sequence

from diagnose.drawing.locker_card import Section, plain_line
from diagnose.terminal.layout import Page
from diagnose.terminal.sentences import ended
from diagnose.walking.views import NO_CERTIFICATE


def locker_text(name: str, sections: Sequence[Section], columns: int | None = None) -> str:
    """All of the card, with a line end behind every line; no control characters."""
    page = Page(shutil.get_terminal_size().columns if columns is None else columns)
    page.say(name.upper()).gap()
    for section in sections:
        page.say(section.title)
        for entry in section.entries:
            page.hang("- ", ended(plain_line(entry)))
        page.gap()
    return page.say(NO_CERTIFICATE).text() + "\n"
