"""Text of a tree file as a label that the drawing program takes for plain text, whatever it holds.

The DOT language reads four things out of a label: `<...>` as HTML, a backslash as the start of an escape
(`\\N` becomes the node's name), a quotation mark as the end, and `&word;` as a character. A tree file is
untrusted text, so all four are taken away here, and node names are never made from it (`n0`, `n1`, ...).
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

import graphviz

_ENTITY = re.compile(r"&(?=#?\w+;)")
_LAST = 60
STYLE = {"fontname": "Helvetica,Arial,sans-serif", "fontsize": "11"}


def label(*parts: str, width: int = 28) -> str:
    """The parts below each other, each wrapped to `width` characters; shows as written and nothing else."""
    lines = [line for part in parts for line in wrapped(part, width)]
    plain = (_ENTITY.sub("&amp;", line).replace("\\", "\\\\") for line in lines)
    text: str = graphviz.nohtml("\\n".join(plain))
    return text


def wrapped(text: str, width: int) -> list[str]:
    """Lines of at most `width` characters; a word that is longer than that is cut."""
    return textwrap.wrap(text, width) or [""]


def shortened(text: str, most: int = _LAST) -> str:
    """The text up to `most` characters, cut between words, with an ellipsis where something was left out."""
    return textwrap.shorten(text, most, placeholder=" …")


def by_word(hazards: Iterable[str]) -> str:
    """The hazards named in words, sorted; empty where there is none to name."""
    named = sorted(hazard for hazard in hazards if hazard != "none")
    return "Hazard: " + ", ".join(named) if named else ""


def in_100(share: float) -> str:
    """A probability as a person says it: of a hundred such vehicles, how many."""
    if share >= 0.995:
        return "100 in 100" if share >= 0.9995 else "over 99 in 100"
    if share < 0.005:
        return "under 1 in 100"
    return f"{share * 100:.0f} in 100"


def blank(caption: str) -> graphviz.Digraph:
    """An empty left-to-right diagram on white, with its caption below."""
    return graphviz.Digraph(
        graph_attr=STYLE
        | {"rankdir": "LR", "label": caption, "labelloc": "b", "bgcolor": "white", "nodesep": "0.15"},
        node_attr=STYLE | {"shape": "box", "margin": "0.12,0.06"},
        edge_attr=STYLE | {"fontsize": "10"},
    )
