"""Where a text goes that a command has made."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

import click

from diagnose.terms import DiagnoseError, WrongUsage

Form = TypeVar("Form", bound=str)


def form_of(target: Path | None, endings: Mapping[str, Form]) -> Form | None:
    """The format that a file's ending names; None without a file or an ending.

    Raises WrongUsage for any other ending: nobody looks for a PDF in `sheet.docx`.
    """
    if target is None or str(target) == "-" or not target.suffix:
        return None
    found = endings.get(target.suffix.lower())
    if found is None:
        raise WrongUsage(unknown_ending(target, endings))
    return found


def unknown_ending(target: Path, endings: Mapping[str, object]) -> str:
    """That a file's ending names no format."""
    known = ", ".join(endings)
    return f'the ending of "{target.name}" names no format: end it in {known}, or say which with --format'


def write_out(text: str, target: Path | None) -> bool:
    """To the file, or to standard output; whether it went into a file.

    Raises DiagnoseError where the file cannot be written.
    """
    if target is None or str(target) == "-":
        click.echo(text, nl=False)
        return False
    try:
        target.write_text(text, encoding="utf-8")
    except OSError as error:
        raise DiagnoseError(f"cannot write {target}: {error.strerror}") from None
    return True


def write_made(content: bytes, target: Path | None, name: str) -> None:
    """To the file; without one to a file called `name` in the current folder, which is then named.

    `-` is standard output. Raises DiagnoseError where the file cannot be written.
    """
    if target is not None and str(target) == "-":
        click.echo(content, nl=False)
        return
    file = target if target is not None else Path(name)
    try:
        file.write_bytes(content)
    except OSError as error:
        raise DiagnoseError(f"cannot write {file}: {error.strerror}") from None
    if target is None:
        click.echo(f"Written to {file}")
