"""A route's chart as DOT text: pieces in bands below each other, on one sheet or on several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import graphviz

from diagnose.drawing import route_symbols as symbols
from diagnose.drawing.route_chart import ChartStep, Line, is_step
from diagnose.drawing.route_layout import DROP, Piece, Placed
from diagnose.drawing.route_sheets import APART, Sheet, band_height
from diagnose.drawing.route_sizes import DIAMOND, ENTRY, LABEL_ASIDE, TO_BRACKET, Reach, Sizes
from diagnose.drawing.route_symbols import Point, Rows, Spot

RADIUS = 22.0
"""Of the circle of a connector."""


class SheetDrawing:
    """Draws the pieces of one sheet; node names are made of numbers alone."""

    def __init__(self, sizes: Sizes, sheet: Sheet, page_of: Mapping[int, int] | None = None) -> None:
        self._sizes, self._texts, self._sheet = sizes, sizes.texts, sheet
        self._page_of = page_of or {}
        self._steps = self._texts.chart.by_node()
        self._made = 0

    def dot(self, caption: Rows) -> str:
        """The DOT text, with a caption below."""
        drawn = symbols.blank(caption)
        top = self._sheet.height
        for band in self._sheet.bands:
            self._band(drawn, band, top)
            top -= band_height(band) + APART
        text: str = drawn.source
        return text

    def _band(self, drawn: graphviz.Digraph, band: Sequence[Piece], top: float) -> None:
        left = 0.0
        for piece in band:
            axis = left + piece.left
            root = self._steps[piece.placed.at]
            tops = [top - ENTRY]
            for height in piece.heights:
                tops.append(tops[-1] - height - DROP)
            self._entry(drawn, root, axis, top)
            self._placed(drawn, piece.placed, axis, tops, 0)
            left += piece.width + APART

    def _entry(self, drawn: graphviz.Digraph, root: ChartStep, axis: float, top: float) -> None:
        """The start above a piece, or a circle that leads to it."""
        name, parent = f"s{root.number}", self._texts.chart.parents.get(root.at)
        if parent is None:
            text = self._texts.start()
            size = self._sizes.end(text)
            symbols.add_start(drawn, name, text, _spot(axis, top, size))
            foot = top - size.height
        else:
            text = self._texts.connector(root.at, self._other_page(root.at, parent))
            symbols.add_connector(drawn, name, text, Spot(axis, top - RADIUS, 2 * RADIUS, 2 * RADIUS))
            foot = top - 2 * RADIUS
        way = [(axis, foot), (axis, top - ENTRY)]
        symbols.add_line(drawn, name, _name(root), way, root.share, walked=self._walked(root.at))

    def _other_page(self, here: int, there: int) -> int | None:
        page = self._page_of.get(there)
        return page if page != self._page_of.get(here) else None

    def _walked(self, node: int) -> bool | None:
        """Whether a case came by; None where no case is drawn."""
        return node in self._texts.walked.at if self._texts.walked is not None else None

    def _placed(
        self, drawn: graphviz.Digraph, placed: Placed, axis: float, tops: list[float], rank: int
    ) -> None:
        """A step, its lines, and what stands at their ends."""
        step = self._steps[placed.at]
        foot = self._step(drawn, step, axis, tops[rank])
        for each in placed.exits:
            across, below = axis + each.aside, rank + 2 * each.row
            if each.beneath is not None:
                self._placed(drawn, each.beneath, across, tops, below + 2)
                target = _name(self._steps[each.beneath.at])
            else:
                target = self._end(drawn, step, each.line, across, tops[below + 2])
            bus = tops[below + 1] + DROP / 2
            bends: list[Point] = [(axis, bus), (across, bus)] if each.aside else []
            corners = [(axis, foot), *bends, (across, tops[below + 2])]
            self._line(drawn, step, each.line, target, corners, tops[below + 1])

    def _line(
        self,
        drawn: graphviz.Digraph,
        step: ChartStep,
        line: Line,
        target: str,
        corners: list[Point],
        top: float,
    ) -> None:
        text, size = self._texts.line(step, line), self._sizes.line(step, line)
        width = size.right - LABEL_ASIDE
        label = Spot(corners[-1][0] + LABEL_ASIDE + width / 2, top - size.height / 2, width, size.height)
        walked = None if self._texts.walked is None else self._texts.on_walk(line)
        symbols.add_line(drawn, _name(step), target, corners, line.share, text, label, walked=walked)

    def _step(self, drawn: graphviz.Digraph, step: ChartStep, axis: float, top: float) -> float:
        """Draws a step's symbol and returns where its lines begin."""
        texts, data = self._texts, self._texts.graph.nodes[step.at]
        walked, hazard = bool(self._walked(step.at)), bool(data["hazard"])
        size = self._sizes.step(step)
        if len(step.nodes) > 1:
            symbols.add_block(drawn, _name(step), *texts.block(step), _spot(axis, top, size))
            return top - size.height
        if not texts.asks(step):
            symbols.add_remedy(
                drawn,
                _name(step),
                step.number,
                texts.step(step),
                _spot(axis, top, size),
                hazard=hazard,
                walked=walked,
            )
            return top - size.height
        width, height = DIAMOND
        inner = 0.76 if hazard else 1.0
        bracket = self._sizes.bracket(step)
        symbols.add_question(
            drawn,
            _name(step),
            step.number,
            texts.step(step),
            Spot(axis, top - height / 2, inner * width, inner * height),
            _spot(axis + width / 2 + TO_BRACKET, top, bracket),
            TO_BRACKET,
            hazard=hazard,
            walked=walked,
            measures=texts.tree.checks[data["of"]].reading is not None,
        )
        return top - height

    def _end(self, drawn: graphviz.Digraph, step: ChartStep, line: Line, axis: float, top: float) -> str:
        """Draws what stands at the end of a line that leads to no step beneath its own."""
        self._made += 1
        name = f"e{step.number}x{self._made}"
        graph = self._texts.graph
        if line.to is None:
            symbols.add_fold(
                drawn, name, self._texts.target(line), _spot(axis, top, self._sizes.target(line))
            )
        elif is_step(graph, line.to):
            text = self._texts.target(line, self._other_page(step.at, line.to))
            symbols.add_connector(drawn, name, text, Spot(axis, top - RADIUS, 2 * RADIUS, 2 * RADIUS))
        else:
            text = self._texts.target(line)
            symbols.add_end(
                drawn,
                name,
                text,
                _spot(axis, top, self._sizes.target(line)),
                stop=self._texts.stops(line),
                walked=self._texts.ended(line),
            )
        return name


def _spot(axis: float, top: float, size: Reach) -> Spot:
    """Where a symbol stands that is entered at its top, its outer border apart."""
    middle = axis + (size.right - size.left) / 2
    return Spot(middle, top - size.height / 2, size.width - 2 * size.rim, size.height - 2 * size.rim)


def _name(step: ChartStep) -> str:
    return f"n{step.number}"
