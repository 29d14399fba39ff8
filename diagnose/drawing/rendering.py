"""From DOT text to a picture, by the drawing program `dot` where it is installed."""

from __future__ import annotations

import shutil
import subprocess

from diagnose.terms import DiagnoseError

LIMIT_SECONDS = 60.0


class NoDrawingProgram(DiagnoseError):
    """The program `dot` is not on this machine; DOT text and JSON need no program."""

    def __init__(self) -> None:
        super().__init__(
            "Pictures need the program dot of Graphviz, which is not installed here (on Debian and Ubuntu: "
            "apt install graphviz). Without it, --format dot and --format json work."
        )


class DrawingFailed(DiagnoseError):
    """The program `dot` did not make a picture of the text."""


def svg(dot_text: str, limit: float = LIMIT_SECONDS) -> str:
    """The picture as SVG text. Raises NoDrawingProgram, or DrawingFailed after `limit` seconds at most.

    Laying out grows faster than the number of steps; some hundreds of them take seconds.
    """
    program = shutil.which("dot")
    if program is None:
        raise NoDrawingProgram
    try:
        done = subprocess.run(  # noqa: S603 - no shell, and the text goes in as data
            [program, "-Tsvg"], input=dot_text.encode(), capture_output=True, timeout=limit, check=False
        )
    except subprocess.TimeoutExpired:
        raise DrawingFailed(
            f"The program dot took longer than {limit:g} seconds: there is too much to draw. Cut off more "
            "with --least, or write the text with --format dot."
        ) from None
    if done.returncode != 0:
        said = done.stderr.decode(errors="replace").strip().splitlines()
        reason = said[-1] if said else f"exit code {done.returncode}"
        raise DrawingFailed(f"The program dot could not draw this: {reason}")
    return done.stdout.decode()
