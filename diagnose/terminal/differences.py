"""A change to a file as a unified diff on a screen: what goes and what comes, with a few lines around it."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.terminal.layout import Line, Manner
from diagnose.terminal.wrapping import WIDEST, clean, display_width


def diff_page(lines: Sequence[str], width: int | None) -> list[Line]:
    """The lines of a diff, longer ones continued below; with a width of None each stays whole, for a pipe."""
    shown: list[Line] = []
    for line in lines:
        text = clean(line)
        manner: Manner = "quiet" if text.startswith(("@@", "---", "+++")) else "plain"
        manner = "strong" if text.startswith("+") and not text.startswith("+++") else manner
        parts = [text] if width is None else _parts(text, min(width, WIDEST))
        shown += [Line(part, manner) for part in parts]
    return shown


def _parts(text: str, width: int) -> list[str]:
    """The text in pieces that fit; those after the first stand under its sign."""
    parts, now = [], ""
    for letter in text:
        if display_width(now + letter) > width:
            parts.append(now)
            now = " " * 3
        now += letter
    return [*parts, now]
