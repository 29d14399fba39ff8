"""How large the symbols of a chart are, reckoned from their type without the drawing program.

Widths of letters are those of Helvetica in thousandths of the type size (Adobe's metrics of the core 14
fonts, from memory); fonts of the same measure take the same room.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.drawing.route_chart import ChartStep, Line, is_step
from diagnose.drawing.route_symbols import SPACE, TYPE, Rows
from diagnose.drawing.route_texts import Texts

LEADING = 1.2 * TYPE
"""From line to line."""
DIAMOND = (46.0, 36.0)
"""Width and height of a decision's diamond, and of a manual operation; with a double border its outer one."""
RIM = 4.0
"""How much further out a double border reaches."""
TO_BRACKET = 18.0
"""From the diamond to the bracket with its question: the broken line."""
ASIDE = 17.0
"""How far a box reaches to the left of the line that enters it."""
LABEL_ASIDE = 6.0
"""From a line to what is written along it."""
ENTRY = 58.0
"""Room for the circle, or the start, above a piece, with its line."""
_WIDTHS = {
    191: "'",
    222: "ijl‘’",
    278: " !,./:;I[]\\ft\N{NO-BREAK SPACE}·",
    333: "()-r`“”",
    350: "•",
    355: '"',
    389: "*",
    400: "°",
    500: "Jckvxsyz",
    556: "#$0123456789?_Labdeghnopqu–",
    584: "+<=>~±≥",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "mM",
    889: "%",
    944: "W",
    1000: "…—",
    1015: "@",
}
_LETTERS = {letter: width / 1000 for width, letters in _WIDTHS.items() for letter in letters}
_OTHERS = 0.62
_WIDE = 1.0
"""From U+2E80 on letters fill a square."""
_BOLD = 1.07


@dataclass(frozen=True, slots=True)
class Reach:
    """How far something reaches from the line that enters it, and how high it is."""

    left: float
    right: float
    height: float
    rim: float = 0.0
    """How much of it on each side is its outer border."""

    @property
    def span(self) -> tuple[float, float]:
        """From and to."""
        return (-self.left, self.right)

    @property
    def width(self) -> float:
        """From left to right."""
        return self.left + self.right


def type_width(text: str, bold: bool = False) -> float:
    """How long a line of type is, in points."""
    whole = sum(_LETTERS.get(letter, _WIDE if ord(letter) >= 0x2E80 else _OTHERS) for letter in text)
    return whole * TYPE * (_BOLD if bold else 1.0)


def rows_width(text: Rows) -> float:
    """How long the longest line is."""
    return max((type_width(row.text, row.bold) for row in text), default=0.0)


def rows_height(text: Rows) -> float:
    """How high the lines are together."""
    return sum(LEADING / 3 if row == SPACE else LEADING for row in text)


@dataclass(frozen=True, slots=True)
class Sizes:
    """The sizes of everything in a chart."""

    texts: Texts

    def step(self, step: ChartStep) -> Reach:
        """A step's symbol, with the question beside it."""
        if len(step.nodes) > 1:
            return self.block(step)
        if self.texts.asks(step):
            bracket = self.bracket(step)
            half = DIAMOND[0] / 2
            return Reach(half, half + TO_BRACKET + bracket.width, max(DIAMOND[1], bracket.height))
        return self.remedy(step)

    def bracket(self, step: ChartStep) -> Reach:
        """The bracket with a question, from its left edge."""
        text = self.texts.step(step)
        return Reach(0.0, rows_width(text) + 12, rows_height(text) + 10)

    def remedy(self, step: ChartStep) -> Reach:
        """The box of a remedy, with its number."""
        text = self.texts.step(step)
        number = type_width(str(step.number), bold=True) + 10
        hazard = bool(self.texts.graph.nodes[step.at]["hazard"])
        return _box(rows_width(text) + number + 18, rows_height(text) + 14, RIM if hazard else 0.0)

    def block(self, step: ChartStep) -> Reach:
        """The block of danger questions."""
        title, questions = self.texts.block(step)
        text = (*title, *(row for _, said, _ in questions for row in said))
        return _box(rows_width(text) + 62, rows_height(text) + 18 + 7 * len(questions))

    def line(self, step: ChartStep, line: Line) -> Reach:
        """What is written along a line, to the right of it."""
        text = self.texts.line(step, line)
        return Reach(3.0, LABEL_ASIDE + rows_width(text), rows_height(text))

    def target(self, line: Line) -> Reach:
        """What stands at the end of a line that goes on to no step beneath."""
        text = self.texts.target(line)
        if line.to is None:
            return Reach(9.0, rows_width(text) + 20, LEADING + 4)
        if is_step(self.texts.graph, line.to):
            return Reach(22.0, 22.0, 44.0)
        return self.end(text, self.texts.stops(line))

    def end(self, text: Rows, stop: bool = False) -> Reach:
        """A terminator."""
        return _box(rows_width(text) + 18, rows_height(text) + 12, RIM if stop else 0.0)


def _box(width: float, height: float, rim: float = 0.0) -> Reach:
    return Reach(ASIDE, max(width + 2 * rim, 2 * ASIDE) - ASIDE, height + 2 * rim, rim)
