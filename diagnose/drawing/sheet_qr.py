"""The square code of a sheet: findings that any camera reads (ISO/IEC 18004)."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from io import BytesIO
from typing import Any

QUIET = 4
"""Modules of white around it, as many as the standard wants."""
LARGEST_VERSION = 10
"""57 modules and the white around them: on 34 mm half a millimetre each, which a telephone reads easily."""
LEVELS = ("q", "m", "l")
"""How much of it may be dirty or torn, about 25, 15 or 7 %: the most with which it stays that coarse."""


@dataclass(frozen=True, slots=True)
class SquareCode:
    """A square code as a picture."""

    svg: str
    """Black on white, as large as whoever shows it makes it; without style or script."""
    version: int
    level: str
    mode: str


def square_code(text: str, says: str) -> SquareCode | None:
    """The code of a text; None for more than any code holds. `says` is its title, for screen readers."""
    code = None
    for level in LEVELS:
        code = _made(text, level) or code
        if code is not None and int(code.version) <= LARGEST_VERSION:
            break
    if code is None:
        return None
    drawn = BytesIO()
    code.save(
        drawn, kind="svg", border=QUIET, xmldecl=False, nl=False, omitsize=True, light="#fff",
        svgclass="square-code", lineclass=None, title=says,
    )  # fmt: skip
    return SquareCode(drawn.getvalue().decode(), int(code.version), str(code.error), str(code.mode))


def _made(text: str, level: str) -> Any:
    import segno

    with suppress(segno.DataOverflowError):
        return segno.make_qr(text, error=level, boost_error=False)
    return None
