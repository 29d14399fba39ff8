"""The change to a tree as somebody sees it before it is written, and the whole word that agrees to it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.revising.writing import Opened
    from diagnose.terminal.console import Console


def agreed(
    opened: Opened, text: str, *, yes: bool, more: Callable[[Console], None] = lambda console: None
) -> bool:
    """Whether somebody has seen the change and typed yes, or --yes stands there.

    `more` shows what follows from the change, beneath it. Raises WrongUsage where nobody can be asked.
    """
    from diagnose.revising.writing import difference
    from diagnose.terminal.console import open_console
    from diagnose.terminal.differences import diff_page
    from diagnose.terminal.layout import Page

    console = open_console()
    read = console.is_read()
    console.show(diff_page(difference(opened, text), console.width() if read else None))
    more(console)
    if yes:
        return True
    if not read:
        raise WrongUsage("nobody can be asked here; with --yes the change is written")
    console.show(Page(console.width()).gap().say("Write this? Type the whole word: yes or no.").lines)
    try:
        return console.ask().strip().lower() == "yes"
    except EOFError:
        return False
