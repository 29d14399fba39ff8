"""Where a text goes that a command has made."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.terms import DiagnoseError


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
