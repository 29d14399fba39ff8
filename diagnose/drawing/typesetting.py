"""Pages as PDF, set by typst from a template of ours and data that are never markup.

The data go in as JSON and are read there as texts and numbers. Only the typefaces that typst brings along are
used, and no time of making is written: the same data give the same bytes on every machine.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from diagnose.drawing.html_pages import template_text

LONGEST_WORD = 28
"""Letters of a word that may stand unbroken: no longer word fits a column."""
_MAY_BREAK = "\u200b"


def typeset(template: str, data: Mapping[str, Any]) -> bytes:
    """The PDF of a template, which finds `data` in `sys.inputs.data`."""
    import typst

    made = typst.compile(
        template_text(template).encode(),
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
    )
    assert isinstance(made, bytes), "one file was asked for"
    return made


def breakable(text: str) -> str:
    """The text with places to break in words that are longer than a column; they do not show.

    >>> breakable("short"), len(breakable("x" * 60))
    ('short', 62)
    """
    return " ".join(_broken(word) if len(word) > LONGEST_WORD else word for word in text.split(" "))


def _broken(word: str) -> str:
    return _MAY_BREAK.join(word[at : at + LONGEST_WORD] for at in range(0, len(word), LONGEST_WORD))
