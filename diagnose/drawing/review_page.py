"""What past cases say as one page of HTML: a file that can be sent, opened anywhere, and loads nothing.

The page is made of sections, each of headed parts: sentences, tables, plots. Whoever has something to tell
makes a `Section` of it and says nothing of HTML. Texts come from files and cases that anybody can write:
every one is escaped, and what would turn the direction of reading is taken out. The policy of the page
forbids all that it does not need: no script, no picture, no request; its style sheet is allowed by its
digest.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from diagnose import __version__
from diagnose.knowledge.characters import without_refused

TEMPLATES = "templates"


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
    style = _resource("review_page.css")
    environment = Environment(
        loader=FunctionLoader(_resource),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_readable,
        keep_trailing_newline=True,
    )
    return environment.get_template("review_page.html").render(
        title=title,
        sections=sections,
        made=made.isoformat(),
        version=__version__,
        # Our own file and our own pictures; nothing of a tree or a case is in them unescaped.
        style=Markup(style),  # noqa: S704
        style_digest=b64encode(sha256(style.encode()).digest()).decode(),
        picture=Markup,
    )


def _readable(value: Any) -> Any:
    """A text without control characters or such as turn the direction of reading."""
    return without_refused(value) if type(value) is str else value


def _resource(name: str) -> str:
    return (files("diagnose.drawing") / TEMPLATES / name).read_text(encoding="utf-8")
