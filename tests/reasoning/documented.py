"""Tables of docs/learning.md, held against what the tests measure, or written anew.

`RECORD_DOCS=1 pytest -m long tests/reasoning` writes them.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

DOCUMENT = Path(__file__).resolve().parents[2] / "docs" / "learning.md"
NUMBER = re.compile(r"\d+\.\d+")


def shows(name, header, lines, within):
    """Asserts that the document shows this table under its marker, each number within a bound."""
    columns = "|".join(["---", *["--:"] * (len(header) - 1)])
    rows = [f"| {' | '.join(map(str, line))} |" for line in (header, *lines)]
    drawn = "\n".join([rows[0], f"|{columns}|", *rows[1:]]) + "\n"
    text = DOCUMENT.read_text(encoding="utf-8")
    table = re.compile(rf"(?<=<!-- {name} -->\n).*?(?=<!-- end of {name} -->)", re.DOTALL)
    (shown,) = table.findall(text)
    if os.environ.get("RECORD_DOCS"):
        DOCUMENT.write_text(table.sub(lambda _: drawn, text), encoding="utf-8")
        return
    assert NUMBER.sub("x", shown) == NUMBER.sub("x", drawn)
    for one, other in zip(NUMBER.findall(shown), NUMBER.findall(drawn), strict=True):
        assert float(one) == pytest.approx(float(other), abs=within)
