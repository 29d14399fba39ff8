"""What stands below a chart: its title, what the symbols mean, what was folded, and what a case adds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.drawing.labels import UNCHECKED, in_100
from diagnose.drawing.route_chart import Chart, is_step
from diagnose.drawing.route_sizes import LEADING, rows_height
from diagnose.drawing.route_symbols import Rows, rows
from diagnose.drawing.route_texts import Texts

WIDTH = 104
"""Letters in a line."""


@dataclass(frozen=True, slots=True)
class Key:
    """The lines below a chart."""

    texts: Texts
    down_to: float
    notes: tuple[str, ...] = ()
    """What is said of a case, the first of them its title."""

    def title(self, page: int = 0, pages: int = 0) -> Rows:
        """Whose route it is, which page this is of several, and on the first which case it shows."""
        tree, role = self.texts.tree, self.texts.graph.graph["role"]
        checked = "" if tree.shipped else f" ({UNCHECKED})"
        of = f" Page {page} of {pages}." if pages else ""
        case = self.notes[0] if self.notes and page <= 1 else ""
        title = rows(f"Route: {tree.id}, {role}'s{checked}.{of}", WIDTH, bold=True)
        return (*title, *rows(case, WIDTH, bold=True))

    def first(self) -> Rows:
        """What has to be known from the first page on: the lines, and what holds at every step."""
        return (*rows(self._lines(), WIDTH), *rows(self._safety(), WIDTH))

    def last(self, cut: bool) -> Rows:
        """What is said of a case besides, the symbols by their names in the standard, what is not drawn.

        `cut` says that the chart is drawn in several pieces.
        """
        said = (*self.notes[1:], " ".join(_symbols(self.texts, cut)), self._left_out())
        return tuple(row for text in said for row in rows(text, WIDTH))

    def _lines(self) -> str:
        case = ""
        if self.texts.walked is not None:
            case = (
                " The very heavy line is the way of the case, and the numbers it came by are white on black."
            )
        return (
            "Along a line: the answers that lead there, and of 100 vehicles with this symptom how many go "
            f"along it; the more, the wider.{case}"
        )

    def _safety(self) -> str:
        tree = self.texts.tree
        return (
            "At every step: who sees, hears or smells a danger stops at once. A hazard's caution is shown "
            f'before its step. Cured only when this is answered with yes: "{tree.cured_when.ask}"'
        )

    def _left_out(self) -> str:
        chart = self.texts.chart
        remedies = any(not self.texts.asks(step) for step in chart.steps)
        could_not = "What follows where a remedy could not be done is left out." if remedies else ""
        if not chart.left_out:
            return could_not
        return (
            f"Folded, as under {self.down_to * 100:g} in 100 come by: {chart.left_out} of "
            f"{chart.left_out + _drawn(chart)} steps; {in_100(chart.folded)} go there. {could_not}"
        )


def height(text: Rows) -> float:
    """How high the lines below a chart are, in points."""
    return rows_height(text) + LEADING


def _drawn(chart: Chart) -> int:
    return sum(len(step.nodes) for step in chart.steps)


def _symbols(texts: Texts, cut: bool) -> Iterator[str]:
    graph, tree, chart = texts.graph, texts.tree, texts.chart
    single = [step for step in chart.steps if len(step.nodes) == 1]
    lines = [line for step in chart.steps for line in step.lines]
    if len(single) < len(chart.steps):
        yield "Box with doubled sides (predefined process): the danger questions."
    if any(texts.asks(step) for step in single):
        yield "Diamond (decision): a question, which stands in the bracket (comment) beside it."
    if any(tree.checks[graph.nodes[step.at]["of"]].reading for step in single if texts.asks(step)):
        yield "Trapezium (manual operation): a measurement."
    if not all(texts.asks(step) for step in single):
        yield "Box (process): something to put right."
    yield "Rounded (terminator): start or end; with a double border STOP."
    if any(graph.nodes[step.at]["hazard"] for step in single):
        yield "Double border with a triangle: the hazard named."
    apart = sum(line.to is not None and is_step(graph, line.to) for line in lines) > len(chart.parents)
    if cut or apart:
        yield "Circle (connector): go on at the step of that number."
    if any(line.to is None for line in lines):
        yield "Three dots (omission): steps that are not drawn."
