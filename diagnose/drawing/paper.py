"""Drawings on sheets of paper: which way round, how large, and several as one PDF.

Sizes are those of ISO 216 in millimetres, and points of 1/72 inch (25.4 mm to the inch).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Literal

Paper = Literal["a4", "a3"]
SHEETS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "a3": (297.0, 420.0)}
"""Width and height in millimetres, upright (ISO 216:2007, the A series)."""
MARGIN = 8.0
"""Millimetres on every side; common printers leave out some five, from memory."""
LARGEST = 1.25
"""A small drawing is not blown up further than this."""
POINTS = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height in points."""

    width: float
    height: float

    def turned(self) -> Size:
        """The same sheet lying instead of upright."""
        return Size(self.height, self.width)


def sheet(paper: Paper, drawing: Size) -> Size:
    """The sheet upright or lying, whichever shows the drawing larger; upright where both do the same."""
    width, height = SHEETS[paper]
    upright = Size(width * POINTS, height * POINTS)
    return max(upright, upright.turned(), key=lambda each: _room(each, drawing))


def scale_on(paper: Paper, drawing: Size) -> float:
    """How many times its own size the drawing has on that paper, margins kept."""
    return min(_room(sheet(paper, drawing), drawing), LARGEST)


def _room(page: Size, drawing: Size) -> float:
    """The scale at which the drawing just fits within the margins."""
    margins = 2 * MARGIN * POINTS
    return min((page.width - margins) / drawing.width, (page.height - margins) / drawing.height)


def joined(drawings: Sequence[bytes], paper: Paper) -> bytes:
    """One PDF of the drawings' first pages, each in the middle of a sheet, as large as it can be."""
    from pypdf import PageObject, PdfReader, PdfWriter, Transformation

    writer = PdfWriter()
    for each in drawings:
        drawn = PdfReader(BytesIO(each)).pages[0]
        size = Size(float(drawn.mediabox.width), float(drawn.mediabox.height))
        page, scale = sheet(paper, size), scale_on(paper, size)
        left = (page.width - scale * size.width) / 2 - scale * float(drawn.mediabox.left)
        below = (page.height - scale * size.height) / 2 - scale * float(drawn.mediabox.bottom)
        blank = PageObject.create_blank_page(width=page.width, height=page.height)
        blank.merge_transformed_page(drawn, Transformation().scale(scale).translate(left, below))
        writer.add_page(blank)
    file = BytesIO()
    writer.write(file)
    return file.getvalue()
