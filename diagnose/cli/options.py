"""Options that several commands share, worded once."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan
from pathlib import Path
from typing import Any, TypeVar

import click

from diagnose.terms import WrongUsage

F = TypeVar("F", bound=Callable[..., Any])


class Figure(click.FloatRange):
    """A number within limits; what is no number at all (`nan`) is refused too, for it is beyond no limit."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number; raises WrongUsage, or click's own error beyond the limits."""
        figure = super().convert(value, param, ctx)
        if isnan(figure):
            raise WrongUsage(f'{param.opts[0] if param is not None else "it"} takes a number, not "{value}"')
        return figure


json_option: Callable[[F], F] = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."
)
"""Passes `as_json: bool`."""

trees_option: Callable[[F], F] = click.option(
    "--trees",
    "folders",
    type=click.Path(path_type=Path, file_okay=False),
    multiple=True,
    envvar="DIAGNOSE_TREES",
    metavar="DIR",
    help="A folder of your own trees; they win over the shipped ones. [env: DIAGNOSE_TREES]",
)
"""Passes `folders: tuple[Path, ...]`; in the environment several are joined as in PATH."""

cases_option: Callable[[F], F] = click.option(
    "--cases",
    "store",
    metavar="URL",
    envvar="DIAGNOSE_CASES",
    default=None,
    help="Where the cases are kept; else in your user data folder. [env: DIAGNOSE_CASES]",
)
"""Passes `store: str | None`, for `walking.places.store_url`."""


def role_option(tells: str) -> Callable[[F], F]:
    """`--as`, with what it tells of; passes `role: Role`."""
    return click.option(
        "--as",
        "role",
        type=click.Choice(["owner", "technician"]),
        default="owner",
        show_default=True,
        help=tells,
    )


def target_option(takes: str) -> Callable[[F], F]:
    """`-o`, with what the file takes; passes `target: Path | None`, "-" being standard output."""
    file = click.Path(path_type=Path, dir_okay=False, allow_dash=True)
    return click.option("-o", "target", type=file, help=takes)


def html_options(shows: str) -> Callable[[F], F]:
    """`--html` and its `-o`, with what the page shows; passes `as_html: bool` and `target: Path | None`."""
    as_html = click.option(
        "--html", "as_html", is_flag=True, help=f"Write a page with {shows}, to be opened in a browser."
    )
    target = target_option("The file for --html; else standard output.")
    return lambda command: as_html(target(command))


def check_html(as_html: bool, target: Path | None, as_json: bool) -> None:
    """Raises WrongUsage for what does not go with `--html`, or without it."""
    if as_json and as_html:
        raise WrongUsage("--json and --html do not go together")
    if target is not None and not as_html:
        raise WrongUsage("-o goes with --html")
