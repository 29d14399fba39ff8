"""What past cases say as one page of HTML: a file that can be sent, opened anywhere, and loads nothing.

The page is made of sections, each of headed parts: sentences, tables, plots. Whoever has something to tell
makes a `Section` of it and says nothing of HTML; what keeps a page safe is `html_pages.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from diagnose import __version__
from diagnose.drawing.html_pages import html_page, template_text


@dataclass(frozen=True, slots=True)
class Table:
    """Cells as texts; the first `words` columns are words, the rest figures."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: int = 1


@dataclass(frozen=True, slots=True)
class Plot:
    """A picture from `drawing.plots`, whose texts are escaped already, and what is said below it."""

    svg: str
    caption: str


@dataclass(frozen=True, slots=True)
class Part:
    """A headed piece of a section: sentences, then plots, then tables."""

    title: str
    sentences: tuple[str, ...] = ()
    plots: tuple[Plot, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    """Said below all that, in smaller letters."""


@dataclass(frozen=True, slots=True)
class Section:
    """What one subject has to tell; `id` is the end of its address in the page."""

    id: str
    title: str
    sentences: tuple[str, ...]
    parts: tuple[Part, ...] = ()


def review_page(sections: Sequence[Section], made: date, title: str = "What past cases say") -> str:
    """The page; the same sections on the same day give the same bytes."""
    return html_page(
        "review_page.html",
        template_text("review_page.css"),
        title=title,
        sections=sections,
        made=made.isoformat(),
        version=__version__,
    )
