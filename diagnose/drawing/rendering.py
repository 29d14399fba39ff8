"""From DOT text to a picture, by the drawing program `dot` where it is installed.

Nodes of the classes that `drawing.symbols` knows are laid out first and then drawn in their symbols, so a
picture takes two runs of the program; text without such nodes takes one.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Callable, Sequence
from typing import Literal

from diagnose.drawing.paper import Paper, Size, joined
from diagnose.drawing.symbols import MARK, with_symbols
from diagnose.terms import DiagnoseError

Picture = Literal["svg", "pdf", "png"]
LIMIT_SECONDS = 30.0
STEPS = (0.0, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5)
"""How far a picture that is too large is folded, in turn; shares of the vehicles with the symptom."""
_REDUCED = b"too large for cairo-renderer bitmaps"
"""What the program says before it makes the whole smaller instead (seen from Graphviz 2.43)."""
_RIM = 4.0
"""Points that the program leaves free on every side (its attribute `pad`)."""
_OPTIONS: dict[Picture, list[str]] = {"png": ["-Gdpi=150"], "pdf": ["-Gmargin=0"]}
"""A PDF would have half an inch more on each side; a page has a margin of its own."""


class NoDrawingProgram(DiagnoseError):
    """The program `dot` is not on this machine; DOT text and JSON need no program."""

    def __init__(self) -> None:
        super().__init__(
            "Pictures need the program dot of Graphviz, which is not installed here (on Debian and Ubuntu: "
            "apt install graphviz). Without it, --format dot and --format json work."
        )


class DrawingFailed(DiagnoseError):
    """The program `dot` did not make a picture of the text."""


class TooMuchToDraw(DrawingFailed):
    """The program `dot` was stopped at the time limit, or the picture has no room at a size to be read."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"{reason}: there is too much to draw. Fold more with --down-to, take pages with --paper, or "
            "write the text with --format dot."
        )


def rendered(dot_text: str, form: Picture, limit: float = LIMIT_SECONDS) -> bytes:
    """The picture as a file's bytes; PNG at 150 dots an inch.

    Laying out grows faster than the number of nodes. Raises NoDrawingProgram, DrawingFailed, or TooMuchToDraw
    after `limit` seconds at most, and where a PNG would be so long that its text could not be read.
    """
    own = _OPTIONS.get(form, [])
    if MARK not in dot_text:
        return _run(["-T" + form, *own], dot_text, limit)
    placed = json.loads(_run(["-Tjson"], dot_text, limit))
    return _run(["-Kneato", "-n2", "-T" + form, *own], with_symbols(dot_text, placed), limit)


def svg(dot_text: str, limit: float = LIMIT_SECONDS) -> str:
    """The picture as SVG text; raises what `rendered` raises."""
    return rendered(dot_text, "svg", limit).decode()


def size_of(dot_text: str, limit: float = LIMIT_SECONDS) -> Size:
    """Width and height in points of the picture, its rim included; raises what `rendered` raises."""
    box = json.loads(_run(["-Tjson0"], dot_text, limit))["bb"].split(",")
    left, bottom, right, top = (float(each) for each in box)
    return Size(right - left + 2 * _RIM, top - bottom + 2 * _RIM)


def pages_pdf(dots: Sequence[str], paper: Paper, limit: float = LIMIT_SECONDS) -> bytes:
    """One PDF with a page of `paper` for each text, upright or lying, whichever shows it larger.

    Raises what `rendered` raises; `limit` is for each page.
    """
    return joined([rendered(each, "pdf", limit) for each in dots], paper)


def folded_until_drawn(draw: Callable[[float], bytes], down_to: float) -> tuple[bytes, float]:
    """What `draw` makes with everything rarer than a share folded, and the share.

    That is `down_to`, or the first of `STEPS` above it that can be drawn in time. Raises the TooMuchToDraw of
    the last of them.
    """
    shares = [down_to, *(step for step in STEPS if step > down_to)]
    for share in shares[:-1]:
        try:
            return draw(share), share
        except TooMuchToDraw:
            continue
    return draw(shares[-1]), shares[-1]


def _run(options: list[str], dot_text: str, limit: float) -> bytes:
    program = shutil.which("dot")
    if program is None:
        raise NoDrawingProgram
    try:
        done = subprocess.run(  # noqa: S603 - no shell, and the text goes in as data
            [program, *options], input=dot_text.encode(), capture_output=True, timeout=limit, check=False
        )
    except subprocess.TimeoutExpired:
        raise TooMuchToDraw(f"The program dot took longer than {limit:g} seconds") from None
    if _REDUCED in done.stderr:
        raise TooMuchToDraw("A picture of points has no room for so much")
    if done.returncode != 0:
        said = done.stderr.decode(errors="replace").strip().splitlines()
        reason = said[-1] if said else f"exit code {done.returncode}"
        raise DrawingFailed(f"The program dot could not draw this: {reason}")
    return done.stdout
