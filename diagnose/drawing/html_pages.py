"""Pages of HTML from a template and a style sheet: files that can be sent, opened anywhere, and load nothing.

Texts come from files and cases that anybody can write: every one is escaped, and what would turn the
direction of reading is taken out. A page's policy forbids all that it does not need: no script, no picture,
no request; its style sheet is allowed by its digest.
"""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from diagnose.knowledge.characters import without_refused

TEMPLATES = "templates"


def html_page(template: str, style: str, **values: Any) -> str:
    """The page of a template; `style` is the text of its style sheet. The same values give the same bytes.

    The template writes `style` and, into its policy, `style_digest`. What is passed to its `own` has to be
    ours alone, with nothing of a tree or a case in it that is not escaped already.
    """
    environment = Environment(
        loader=FunctionLoader(template_text),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_readable,
        keep_trailing_newline=True,
    )
    return environment.get_template(template).render(
        values,
        style=Markup(style),  # noqa: S704 - our own file
        style_digest=b64encode(sha256(style.encode()).digest()).decode(),
        own=Markup,
    )


def template_text(name: str) -> str:
    """The text of a file among the templates."""
    return (files("diagnose.drawing") / TEMPLATES / name).read_text(encoding="utf-8")


def _readable(value: Any) -> Any:
    """A text without control characters or such as turn the direction of reading."""
    return without_refused(value) if type(value) is str else value
