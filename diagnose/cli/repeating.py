"""The options that a command suggested to the user has to repeat, so that it finds the same things."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.knowledge.collection import is_path

SERVER = "URL"
"""Stands for a server's address, which may hold a password."""


def options_to_repeat(store: str | None, folders: tuple[Path, ...] = ()) -> tuple[str, ...]:
    """`--cases`, `--trees` and a vehicle's card as they stood there; what the environment gave stays."""
    context = click.get_current_context()
    typed = click.core.ParameterSource.COMMANDLINE
    options: list[str] = []
    if store is not None and context.get_parameter_source("store") is typed:
        options += ["--cases", SERVER if "://" in store and not store.startswith("sqlite") else store]
    if context.get_parameter_source("folders") is typed:
        options += [part for folder in folders for part in ("--trees", str(folder))]
    vehicle = context.params.get("vehicle")
    if isinstance(vehicle, str) and is_path(vehicle):
        options += ["--vehicle", vehicle]
    return tuple(options)
