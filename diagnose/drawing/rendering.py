"""From DOT text to a picture, by the drawing program `dot` where it is installed."""

from __future__ import annotations

import graphviz

from diagnose.terms import DiagnoseError

LIMIT_SECONDS = 60


class NoDrawingProgram(DiagnoseError):
    """The program `dot` is not on this machine; DOT text and JSON need no program."""

    def __init__(self) -> None:
        super().__init__(
            "Pictures need the program dot of Graphviz, which is not installed here (on Debian and Ubuntu: "
            "apt install graphviz). Without it, --format dot and --format json work."
        )


class DrawingFailed(DiagnoseError):
    """The program `dot` did not make a picture of the text."""


def svg(dot_text: str) -> str:
    """The picture as SVG text. Raises NoDrawingProgram or DrawingFailed."""
    try:
        text: str = graphviz.Source(dot_text).pipe(format="svg", encoding="utf-8", quiet=True)
    except graphviz.ExecutableNotFound:
        raise NoDrawingProgram from None
    except graphviz.CalledProcessError as error:
        said = (error.stderr or "").strip().splitlines()
        reason = said[-1] if said else f"exit code {error.returncode}"
        raise DrawingFailed(f"The program dot could not draw this: {reason}") from None
    return text
