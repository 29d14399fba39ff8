"""Offers the hand-over sheet at a referral or a stop: shown, written to a file, or neither."""

from __future__ import annotations

from pathlib import Path

from diagnose.terminal.console import Console
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.sheet import Walked, sheet_text
from diagnose.terminal.understanding import plain_words
from diagnose.walking.views import Referred, Stopped

NEITHER = ("", "no", "n", "none", "neither", "leave off", "quit", "exit")


def offer_sheet(console: Console, view: Referred | Stopped, walked: Walked) -> None:
    """Ask once what to do with the sheet, and again only if a file cannot be written."""
    name = f"sheet-{view.case}.txt" if view.case is not None else "sheet.txt"
    page = Page(console.width()).gap()
    if isinstance(view, Stopped):
        page.say("Once everybody is out of danger:")
    page.say("There is a sheet to hand over: all that you found, as plain text.")
    page.listing(
        [
            ("show", "read it here"),
            (name, "keep it as a file of this name, or type another"),
            ("Enter", "neither"),
        ]
    )
    console.show(page.lines)
    while True:
        typed = console.ask().strip()
        if plain_words(typed) in NEITHER:
            return
        if plain_words(typed) in ("show", "s"):
            console.show([Line(""), *_as_lines(sheet_text(view, walked, console.width()))])
            return
        refusal = _write(typed, sheet_text(view, walked))
        if not refusal:
            console.show(Page(console.width()).say(f"Written to {typed}.").lines)
            return
        console.show(Page(console.width()).say(f"{refusal} Type another name, show, or just Enter.").lines)


def _write(name: str, text: str) -> str:
    """Write a new file; returns what stands in the way, or nothing."""
    if len(name) > 250 or not name.isprintable():
        return "That cannot be the name of a file."
    try:
        with Path(name).expanduser().open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        return f"There is a file {name} already; it is left as it is."
    except (OSError, RuntimeError, ValueError) as error:
        return f"It cannot be written: {getattr(error, 'strerror', None) or error}."
    return ""


def _as_lines(text: str) -> list[Line]:
    return [Line(line) for line in text.splitlines()]
