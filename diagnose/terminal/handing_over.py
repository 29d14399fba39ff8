"""Offers the hand-over sheet at a referral or a stop: shown, written to a file, or neither."""

from __future__ import annotations

from pathlib import Path

from diagnose.terminal.console import Console
from diagnose.terminal.dangers import told_danger
from diagnose.terminal.desk import Opened
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.returning import rests_on_cases, still_missing
from diagnose.terminal.understanding import Chosen, Ordered, meaning
from diagnose.walking.sheet import sheet_text
from diagnose.walking.views import Choice, Referred, Stopped

COLUMNS = 72
"""Fits a sheet of A4 in any plain font."""

SHOW, KEEP, NEITHER = "show", "keep", "neither"


def offer_sheet(console: Console, view: Referred | Stopped, opened: Opened, to_print: str = "") -> bool:
    """Ask once what to do with the sheet; again only if that was not clear or a file cannot be written.

    `to_print` is the command that makes a page of it. Returns whether danger was told instead.
    """
    usual = f"sheet-{view.case}.txt" if view.case is not None else "sheet.txt"
    choices = (
        Choice(SHOW, "Show it here"),
        Choice(KEEP, f"Keep it as the file {usual}"),
        Choice(NEITHER, "Neither"),
    )
    page = Page(console.width())
    if isinstance(view, Stopped):
        page.say("Once everybody is out of danger:")
    page.say("There is a sheet to hand over: all that was found, as plain text.", "strong")
    page.listing([(str(number), choice.says) for number, choice in enumerate(choices, 1)])
    page.say("Or type another name for the file.", "quiet")
    if to_print and view.case is not None:
        page.say(f"One page to print, later: {to_print}", "quiet")
    console.show([Line(""), *page.lines])
    while True:
        typed = console.ask().strip()
        meant = meaning(typed, choices)
        picked = meant.choice.id if isinstance(meant, Chosen) else ""
        if isinstance(meant, Ordered) and meant.command == "danger":
            return True
        if not typed or picked == NEITHER or isinstance(meant, Ordered):
            return False
        if picked == SHOW:
            text = _sheet(view, opened, min(console.width(), COLUMNS))
            console.show([Line(""), *(Line(line) for line in text.splitlines())])
            return False
        if picked != KEEP and not _like_a_file(typed) and told_danger(console, typed) is not None:
            return True
        refusal = _kept(usual if picked == KEEP else typed, view, opened, console)
        if not refusal:
            return False
        console.show(
            Page(console.width()).say(f"{refusal} Type a name, 1 to see it, or 3 for neither.").lines
        )


def _sheet(view: Referred | Stopped, opened: Opened, columns: int) -> str:
    register = view.register if isinstance(view, Referred) else ""
    record = opened.record()
    return sheet_text(
        record,
        opened.tree,
        view.ranking,
        columns=columns,
        register=register,
        code=opened.code(),
        missing=still_missing(opened.reasoner.returned()) if rests_on_cases(view.ranking) else "",
    )


def _like_a_file(name: str) -> bool:
    return any(sign in name for sign in "./\\")


def _kept(name: str, view: Referred | Stopped, opened: Opened, console: Console) -> str:
    """Write the sheet to a new file and say where; returns what stands in the way, or nothing."""
    if not _like_a_file(name):
        return f'"{name[:40]}" is not clear; a name for the file looks like sheet.txt.'
    if len(name) > 250 or not name.isprintable():
        return "That cannot be the name of a file."
    path = Path(name)
    try:
        path = path.expanduser()
        with path.open("x", encoding="utf-8") as file:
            file.write(_sheet(view, opened, COLUMNS))
    except FileExistsError:
        return f"There is a file {name} already; it is left as it is."
    except (OSError, RuntimeError, ValueError) as error:
        return f"It cannot be written: {getattr(error, 'strerror', None) or error}."
    console.show(Page(console.width()).say(f"Written to {path.absolute()}.").lines)
    return ""
