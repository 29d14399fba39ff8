"""What the user sees when something goes wrong: one clear text and the right exit code, never a traceback."""

from __future__ import annotations

import json
import os
import sys
from typing import Any

import click

from diagnose.terms import DiagnoseError, FlawedKnowledge


def exit_code(error: Exception, *, as_json: bool, debug: bool) -> int:
    """Say what went wrong and return the exit code.

    The text goes to stderr; with `as_json` a document `{"errors": [...]}` goes to stdout instead. With
    `debug` the traceback follows.
    """
    if isinstance(error, BrokenPipeError):
        return _reader_has_gone()
    if isinstance(error, click.Abort):
        return 130
    code = _code(error)
    try:
        if as_json:
            click.echo(json.dumps({"errors": _entries(error)}, ensure_ascii=False, indent=2))
        elif isinstance(error, click.ClickException):
            error.show()
        else:
            click.echo(_text(error), err=True)
    except BrokenPipeError:
        _reader_has_gone()
    if debug and not isinstance(error, click.ClickException):
        import traceback

        traceback.print_exception(error)
    return code


def _code(error: Exception) -> int:
    if isinstance(error, DiagnoseError):
        return error.exit_code
    return error.exit_code if isinstance(error, click.ClickException) else 1


def _text(error: Exception) -> str:
    if isinstance(error, DiagnoseError):
        return str(error)
    if isinstance(error, OSError) and error.strerror:
        return f"{error.filename}: {error.strerror}" if error.filename else error.strerror
    return (
        f"Something went wrong inside the program ({type(error).__name__}: {error}). What you answered "
        "so far is kept. The same command with --debug shows where."
    )


def _entries(error: Exception) -> list[dict[str, Any]]:
    """Every fault as {file, line, column, message}; the place is null where there is none."""
    if isinstance(error, FlawedKnowledge):
        return [
            {"file": flaw.file, "line": flaw.line, "column": flaw.column, "message": flaw.message}
            for flaw in error.flaws
        ]
    text = error.format_message() if isinstance(error, click.ClickException) else _text(error)
    return [{"file": None, "line": None, "column": None, "message": text}]


def _reader_has_gone() -> int:
    """Whoever read our output wants no more of it: go quietly, also when Python flushes at its exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
