"""The page as one text: data, scripts and style in one file that loads nothing.

The policy of the page names its one script and its one style sheet by their digests and forbids everything
else; the data are no script at all, and a `<` in them is written as an escape of JSON, so that no text of a
tree can end the element that it stands in.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from diagnose.drawing.offline.data import Page, common_data, each_tree

ENGINE = (
    "namespace", "words", "data", "numbers", "evidence", "past", "stops", "standing", "rules", "stepping",
    "cautioning", "ending", "readings", "doubts", "showing", "showing_ends", "walking", "intervals",
    "reasons", "setting", "engine",
)  # fmt: skip
"""What is needed before any screen, in the order in which it is put together."""
OTHERS = ("code", "sheet", "practise", "screens", "rounds")
"""Beginnings of names, in order; the scripts of one beginning come in alphabetical order."""
STYLES = ("page.css", "sheet.css", "practise.css")
"""The parts of the one style sheet, in order."""
LAST = "start"
"""Begins the screens, once everything else is there."""
TEMPLATES = "templates"


def offline_page(page: Page) -> str:
    """The whole page; the same data on the same day give the same bytes."""
    script, style = scripts(), "".join(map(_template, STYLES))
    environment = Environment(
        loader=FunctionLoader(_template),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("page.html").render(
        # Our own files; nothing of a tree is in them.
        script=Markup(script),  # noqa: S704
        script_digest=_digest(script),
        style=Markup(style),  # noqa: S704
        style_digest=_digest(style),
        # Escaped by `inert`: what follows is no markup in any text.
        data=Markup(inert(common_data(page))),  # noqa: S704
        trees=[(each["id"], Markup(inert(each))) for each in each_tree(page)],  # noqa: S704
    )


def scripts() -> str:
    """All scripts, one behind the other."""
    folder = files("diagnose.drawing.offline") / "scripts"
    there = sorted(each.name.removesuffix(".js") for each in folder.iterdir() if each.name.endswith(".js"))
    others = [name for beginning in OTHERS for name in there if name.startswith(beginning)]
    names = [*ENGINE, *others, *([LAST] if LAST in there else [])]
    return "".join((folder / f"{name}.js").read_text(encoding="utf-8") for name in names)


def styles() -> str:
    """All style sheets, one behind the other, the page's own first."""
    folder = files("diagnose.drawing.offline") / TEMPLATES
    there = sorted(each.name for each in folder.iterdir() if each.name.endswith(".css"))
    return "".join(_template(name) for name in sorted(there, key=lambda name: name != "page.css"))


def inert(value: Any) -> str:
    """A value as JSON that may stand in a script element: no `<`, no `>` and no `&` is left in it."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _digest(text: str) -> str:
    return b64encode(sha256(text.encode()).digest()).decode()


def _template(name: str) -> str:
    return (files("diagnose.drawing.offline") / TEMPLATES / name).read_text(encoding="utf-8")


__all__: Sequence[str] = ("ENGINE", "Page", "inert", "offline_page", "scripts")
