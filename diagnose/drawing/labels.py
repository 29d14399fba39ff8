"""Text of a tree file as a label that the drawing program takes for plain text, whatever it holds.

The DOT language reads four things out of a label: `<...>` as HTML, a backslash as the start of an escape
(`\\N` becomes the node's name), a quotation mark as the end, and `&word;` as a character. A tree file is
untrusted text, so all four are taken away here, and node names are never made from it (`n0`, `n1`, ...).
Invisible and direction-changing characters, which no tree may hold but a case might, show as a stand-in.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

import graphviz

from diagnose.drawing.symbols import HAZARD_WORD, INDENT
from diagnose.knowledge.characters import without_refused

_ENTITY = re.compile(r"&(?=#?\w+;)")
_UNIT = re.compile(r"(?<=\d) (?=(?:V|A|Ah|W|Hz|°C|%|mm|cm|m|km|kg|g|l|bar|mbar|s|min|h)(?!\w))")
"""The space between a number and its unit, where no line ends."""
_LAST = 60
POINT_SIZE = 11
UNCHECKED = "your own tree; not checked by this project"
STYLE = {"fontname": "Helvetica,Arial,sans-serif", "fontsize": f"{POINT_SIZE}"}


def label(*parts: str, width: int = 28, left: bool = False) -> str:
    """The parts below each other, each wrapped to `width` characters; shows as written and nothing else.

    The lines are centred, or flush `left`.
    """
    cut = wrapped if left else balanced
    lines = [line for part in parts for line in cut(part, width)]
    plain = (_ENTITY.sub("&amp;", line).replace("\\", "\\\\") for line in lines)
    text: str = graphviz.nohtml("".join(line + "\\l" for line in plain) if left else "\\n".join(plain))
    return text


def wrapped(text: str, width: int) -> list[str]:
    """Lines of at most `width` characters; a word that is longer than that is cut.

    A text that begins with the room for a symbol keeps that room free on every line.
    """
    indent = INDENT if text.startswith(INDENT) else ""
    tied = _UNIT.sub("\N{NO-BREAK SPACE}", without_refused(text.removeprefix(INDENT)))
    # Hazards are ids such as high-current, which are not parted.
    lines = textwrap.wrap(tied, max(width - len(indent), 1), break_on_hyphens=not indent)
    return [indent + line for line in lines] or [""]


def balanced(text: str, width: int) -> list[str]:
    """As many lines as `wrapped` makes, but of much the same length, so that no last word stands alone."""
    lines = wrapped(text, width)
    longest = max((len(word) for line in lines for word in line.split(" ")), default=0)
    narrower = (wrapped(text, less) for less in range(max(longest, width // 2), width))
    return next((each for each in narrower if len(each) == len(lines)), lines)


def shortened(text: str, most: int = _LAST) -> str:
    """The text up to `most` characters, cut between words, with an ellipsis where something was left out."""
    return textwrap.shorten(text, most, placeholder=" …")


def by_word(hazards: Iterable[str]) -> str:
    """The hazards named in words, sorted, with room for the triangle; empty where there is none to name."""
    named = sorted(hazard for hazard in hazards if hazard != "none")
    return f"{INDENT}{HAZARD_WORD}: {', '.join(named)}" if named else ""


def figure(share: float) -> str:
    """How many of 100, as short as a symbol has room for: whole from 10 on, else with one decimal."""
    if 0 < share < 0.05:
        return "<0.1"
    return f"{share:.0f}" if share >= 9.95 else f"{share:.1f}".removesuffix(".0")


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
