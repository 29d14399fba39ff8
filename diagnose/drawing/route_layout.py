"""Where everything of a chart stands: the main line straight down, what branches off to the right of it.

A chart is drawn as a tree. It is cut into pieces that fit a page: a step with what stands beneath it, as
far as there is room. Beneath a step its branches stand side by side, as close as their outlines allow
(Reingold & Tilford, Tidier drawings of trees, IEEE Transactions on Software Engineering 7, 1981), the
likeliest beneath the step itself.

A question with very many answers has its ends in several rows, one below the other, past which its main line
goes down.

Lengths are points of 1/72 inch. Across, each symbol is told by how far it reaches to the left and right of
the line that enters it; down, ranks of symbols and of what is written along the lines take turns.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagnose.drawing.route_chart import Line
from diagnose.drawing.route_sizes import DIAMOND, ENTRY, Sizes

GAP = 13.0
"""Between two symbols side by side."""
DROP = 11.0
"""Between a rank of symbols and the lines' labels, and from there to the next."""
STEM = 8.0
"""What a line that goes down past others keeps free on both sides."""
ASIDE_AND_STEM = DIAMOND[0] / 2 + STEM + GAP
"""What a row of ends has to the left of it: half a diamond, or a line that goes down past it."""
Outline = list[tuple[float, float]]
"""From and to of each rank, from the line that enters."""


@dataclass(frozen=True, slots=True)
class Exit:
    """A line out of a step as it is drawn."""

    line: Line
    aside: float
    """How far right of the step it goes down."""
    row: int
    """In which row of ends it goes down, from 0; almost always there is but one."""
    beneath: Placed | None
    """The step to which it leads, if that stands in the same piece beneath it."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A step with what stands beneath it."""

    at: int
    exits: tuple[Exit, ...]

    def steps(self) -> Iterator[int]:
        """All steps, by node."""
        yield self.at
        for each in self.exits:
            if each.beneath is not None:
                yield from each.beneath.steps()


@dataclass(frozen=True, slots=True)
class Piece:
    """A step with what stands beneath it in the same drawing, and how large that is."""

    placed: Placed
    heights: tuple[float, ...]
    """Of each rank: symbols and labels in turn."""
    left: float
    """How far it reaches to the left of the line that enters it."""
    width: float

    @property
    def height(self) -> float:
        """From the circle that leads to it down to its lowest end."""
        return ENTRY + sum(self.heights) + DROP * (len(self.heights) - 1)


@dataclass(frozen=True, slots=True)
class Room:
    """Width and height that there is."""

    width: float
    height: float

    def holds(self, piece: Piece) -> bool:
        """Whether a piece fits."""
        return piece.width <= self.width and piece.height <= self.height


class Cutting:
    """Cuts pieces from a chart, as large as there is room.

    Ends go in a single row as long as that is no wider than `widest`.
    """

    def __init__(self, sizes: Sizes, widest: float) -> None:
        self._widest = widest - ASIDE_AND_STEM
        chart = sizes.texts.chart
        self._steps, self._parents = chart.by_node(), chart.parents
        self._step_sizes = {step.at: sizes.step(step) for step in chart.steps}
        self._line_sizes = {
            (step.at, line.to): (sizes.line(step, line), sizes.target(line))
            for step in chart.steps
            for line in step.lines
        }
        self._below: dict[int, list[int]] = {at: [] for at in self._steps}
        for step in chart.steps:
            if step.at in self._parents:
                self._below[self._parents[step.at]].append(step.at)

    def grown(self, root: int, room: Room) -> tuple[Piece, list[int]]:
        """The piece that begins with a step, and the steps that found no room in it.

        It holds that step at least, even if there is no room.
        """
        taken, refused = {root}, []
        waiting = list(self._below[root])
        piece = self._measured(root, taken)
        while waiting:
            at = waiting.pop(0)
            larger = self._measured(root, taken | {at})
            if room.holds(larger):
                piece = larger
                taken.add(at)
                waiting = self.in_order([*waiting, *self._below[at]])
            else:
                refused.append(at)
        return piece, refused

    def in_order(self, nodes: Iterable[int]) -> list[int]:
        """Steps by their numbers."""
        return sorted(nodes, key=lambda at: self._steps[at].number)

    def _measured(self, root: int, taken: set[int]) -> Piece:
        heights: list[float] = []
        placed, outline = self._place(root, taken, heights, 0)
        left = -min(start for start, _ in outline)
        return Piece(placed, tuple(heights), left, left + max(end for _, end in outline))

    def _place(self, at: int, taken: set[int], heights: list[float], rank: int) -> tuple[Placed, Outline]:
        """A step and what is beneath it; the heights of the ranks grow as they have to."""
        own = self._step_sizes[at]
        _raise(heights, rank, own.height)
        *upper, last = self._rows(at, taken)
        exits: list[Exit] = []
        whole: Outline = []
        for row, lines in enumerate(upper):
            beside: Outline = [(-STEM, STEM), (-STEM, STEM)]
            for line in lines:
                exits.append(self._exit(at, line, row, beside, set(), heights, rank + 2 * row))
            whole += beside
        below: Outline = []
        for line in last:
            exits.append(self._exit(at, line, len(upper), below, taken, heights, rank + 2 * len(upper)))
        return Placed(at, tuple(exits)), [own.span, *whole, *below]

    def _exit(
        self, at: int, line: Line, row: int, beside: Outline, taken: set[int], heights: list[float], rank: int
    ) -> Exit:
        """One line with what it leads to, set right of what stands there already."""
        said, end = self._line_sizes[at, line.to]
        _raise(heights, rank + 1, said.height)
        beneath: Placed | None = None
        if self._goes_on(at, line, taken) and line.to is not None:
            beneath, outline = self._place(line.to, taken, heights, rank + 2)
        else:
            _raise(heights, rank + 2, end.height)
            outline = [end.span]
        outline = [said.span, *outline]
        aside = _aside(beside, outline)
        _join(beside, outline, aside)
        return Exit(line, aside, row, beneath)

    def _rows(self, at: int, taken: set[int]) -> list[list[Line]]:
        """The lines out of a step in rows: the last has the likeliest and all with steps beneath them."""
        lines = self._lines_in_order(at)
        rows: list[list[Line]] = []
        while self._row_width(at, lines, taken) > self._widest:
            ends = [line for line in lines[1:] if line.to is not None and not self._goes_on(at, line, taken)]
            fitting = [
                line for n, line in enumerate(ends) if self._ends_width(at, ends[: n + 1]) <= self._widest
            ]
            if not fitting:
                break
            rows.append(fitting)
            lines = [line for line in lines if line not in fitting]
        return [*rows, self._steps_last(at, lines, taken)]

    def _row_width(self, at: int, lines: list[Line], taken: set[int]) -> float:
        """How wide the lines are beside each other, what stands further down left aside."""
        steps = [self._step_sizes[line.to] for line in lines if line.to is not None and line.to in taken]
        ends = [line for line in lines if not self._goes_on(at, line, taken)]
        return self._ends_width(at, ends) + sum(step.width + GAP for step in steps[: len(lines) - len(ends)])

    def _ends_width(self, at: int, lines: list[Line]) -> float:
        pairs = (self._line_sizes[at, line.to] for line in lines)
        return sum(max(said.right, end.right) + max(said.left, end.left) + GAP for said, end in pairs)

    def _goes_on(self, at: int, line: Line, taken: set[int]) -> bool:
        return line.to in taken and line.to is not None and self._parents.get(line.to) == at

    def _lines_in_order(self, at: int) -> list[Line]:
        """The line to the first of the steps beneath it, else to the likeliest step; then the others."""
        lines = self._steps[at].lines
        steps = [line for line in lines if line.to in self._steps]
        own = {to: rank for rank, to in enumerate(self._below[at])}
        first = min(steps, key=lambda line: (own.get(line.to or 0, len(own)), -line.share), default=None)
        return sorted(lines, key=lambda line: line is not first)

    def _steps_last(self, at: int, lines: list[Line], taken: set[int]) -> list[Line]:
        """After the likeliest, what ends here and what is folded, then those with steps beneath them."""

        def place(line: Line) -> tuple[bool, bool]:
            return self._goes_on(at, line, taken), line.to is None

        return [*lines[:1], *sorted(lines[1:], key=place)]


def _raise(heights: list[float], rank: int, height: float) -> None:
    heights += [0.0] * (rank + 1 - len(heights))
    heights[rank] = max(heights[rank], height)


def _aside(whole: Outline, outline: Outline) -> float:
    """How far to the right an outline has to stand so that it is clear of what is there already."""
    both = zip(whole, outline, strict=False)
    return max((there + GAP - start for (_, there), (start, _) in both), default=0.0)


def _join(whole: Outline, outline: Outline, aside: float) -> None:
    for rank, (start, end) in enumerate(outline):
        if rank < len(whole):
            whole[rank] = (whole[rank][0], end + aside)
        else:
            whole.append((start + aside, end + aside))
