"""Options that several commands share, worded once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

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
