"""A deed that cannot be undone waits for a yes, at a terminal or on the command line."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.terminal.layout import Page

F = TypeVar("F", bound=Callable[..., Any])

yes_option: Callable[[F], F] = click.option("--yes", is_flag=True, help="Do it without asking.")
"""Passes `yes: bool`."""


def agreed(page: Page, question: str, *, yes: bool) -> bool:
    """Whether somebody at a terminal has typed the whole word yes below the page, or --yes stands there.

    Raises WrongUsage, with the page, where nobody can be asked.
    """
    from diagnose.terminal.console import open_console

    if yes:
        return True
    console = open_console()
    if not console.is_read():
        raise WrongUsage(f"{page.text()}\n\nNobody can be asked here; with --yes it is done.")
    console.show(page.gap().say(question).lines)
    try:
        return console.ask().strip().lower() == "yes"
    except EOFError:
        return False
