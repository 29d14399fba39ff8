"""A screen as lines of text with a manner each; what is bold or dim here is said in words as well.

A page is put together from top to bottom at a known width and is plain data until somebody prints it, so the
tests read the very lines that the user reads.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from diagnose.terminal.wrapping import NARROWEST, WIDEST, display_width, wrap

Manner = Literal["plain", "strong", "danger", "quiet"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a screen, already short enough for it."""

    text: str
    manner: Manner = "plain"


@dataclass(slots=True)
class Page:
    """Lines being put together for a screen of `width` columns."""

    width: int
    lines: list[Line] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Keep the width within what can be read."""
        self.width = min(max(self.width, NARROWEST), WIDEST)

    def say(self, text: str, manner: Manner = "plain", *, indent: int = 0) -> Page:
        """Add a paragraph, wrapped; an empty text adds nothing."""
        if text.strip():
            margin = " " * indent
            self._add(wrap(text, self.width, margin), manner)
        return self

    def hang(self, first: str, text: str, manner: Manner = "plain", *, indent: int = 2) -> Page:
        """Add a paragraph that starts with `first` and whose further lines stand under its text."""
        start = " " * indent + first
        later = " " * min(display_width(start), self.width // 2)
        self._add(wrap(text, self.width, start, later), manner)
        return self

    def listing(self, entries: Sequence[tuple[str, str]], manner: Manner = "plain") -> Page:
        """Add pairs of a short word and its text, the texts under each other where there is room."""
        widest = max((display_width(word) for word, _ in entries), default=0)
        if widest > self.width // 3:
            for word, text in entries:
                self.say(word, manner, indent=2).say(text, manner, indent=4)
            return self
        for word, text in entries:
            self.hang(word + " " * (widest - display_width(word) + 2), text, manner)
        return self

    def gap(self) -> Page:
        """Add an empty line, unless there is one already or nothing yet."""
        if self.lines and self.lines[-1].text:
            self.lines.append(Line(""))
        return self

    def text(self) -> str:
        """The page as plain text."""
        return "\n".join(line.text for line in self.lines)

    def _add(self, lines: Sequence[str], manner: Manner) -> None:
        self.lines.extend(Line(line, manner) for line in lines)
