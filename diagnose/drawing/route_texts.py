"""The lines of type of a chart: what stands in each symbol and along each line, wrapped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from diagnose.drawing.labels import by_word, in_100, shortened
from diagnose.drawing.route_chart import Chart, ChartStep, Line, Way, is_step
from diagnose.drawing.route_symbols import SPACE, Row, Rows, rows
from diagnose.drawing.route_words import says_answer, says_cut_set, says_effort, says_end
from diagnose.terms import NOT_SURE, Tree

if TYPE_CHECKING:
    from networkx import MultiDiGraph

QUESTION, REMEDY, END, ANSWER, BLOCK, START = 30, 30, 19, 18, 98, 60
"""Letters in a line of each."""
LONGEST = 120
"""An answer that is longer is cut short along its line, never a question, nor whom to call."""
MANY = 3
"""As many answers into the dots are not listed one by one."""


@dataclass(frozen=True, slots=True)
class Walked:
    """What a case adds to the picture."""

    ways: frozenset[Way] = frozenset()
    """The edges of the route that it went along."""
    at: frozenset[int] = frozenset()
    """The nodes that it came by."""
    found: Mapping[int, str] = field(default_factory=dict)
    """Node -> what was read there, or said without being asked."""


@dataclass(frozen=True, slots=True)
class Texts:
    """Everything that is written in a chart."""

    chart: Chart
    graph: MultiDiGraph[int]
    tree: Tree
    walked: Walked | None = None

    def start(self) -> Rows:
        """The symptom, and whose route it is."""
        return rows(f"{self.tree.symptom} ({self.graph.graph['role']}'s route)", START, bold=True)

    def step(self, step: ChartStep) -> Rows:
        """The question or what is put right, how long it takes, its hazards, and what a case found there."""
        data = self.graph.nodes[step.at]
        width, says = (
            REMEDY,
            "Put right: " + says_cut_set(data["of"], self.tree) if not self.asks(step) else "",
        )
        if self.asks(step):
            width, says = QUESTION, self.tree.checks[data["of"]].ask
        found = self.walked.found.get(step.at, "") if self.walked else ""
        return (
            *rows(says, width),
            *rows(says_effort(data, self.tree), width),
            *((SPACE, *rows(by_word(data["hazard"]), width, bold=True)) if data["hazard"] else ()),
            *rows(found, width, bold=True),
        )

    def asks(self, step: ChartStep) -> bool:
        """Whether the step is a question."""
        return bool(self.graph.nodes[step.at]["kind"] == "check")

    def block(self, step: ChartStep) -> tuple[Rows, list[tuple[int, Rows, bool]]]:
        """The title of the block of danger questions, and each with its number and whether it was walked."""
        numbers = self._numbers(step)
        minutes = sum(self.tree.checks[of].minutes for of in numbers)
        title = f"Danger questions: always asked first, in this order ({minutes:g} min)"
        return rows(title, BLOCK, bold=True), [
            (number, self._block_row(step, of), self._came_by(step, of)) for of, number in numbers.items()
        ]

    def _numbers(self, step: ChartStep) -> dict[str, int]:
        """The questions of a block by check, numbered."""
        asked = dict.fromkeys(self.graph.nodes[node]["of"] for node in step.nodes)
        return {of: number for number, of in enumerate(asked, step.number)}

    def _nodes(self, step: ChartStep, of: str) -> list[int]:
        return [node for node in step.nodes if self.graph.nodes[node]["of"] == of]

    def _came_by(self, step: ChartStep, of: str) -> bool:
        return bool(self.walked and self.walked.at.intersection(self._nodes(step, of)))

    def _block_row(self, step: ChartStep, of: str) -> Rows:
        """A question, its stop answers, whom to call then, and what a case answered."""
        check, nodes = self.tree.checks[of], self._nodes(step, of)
        stops = [answer for answer in check.answer_ids() if answer in check.stop_on]
        node = self.graph.nodes[nodes[0]]
        said = "; ".join(says_answer(node, answer, self.tree) for answer in (*stops, NOT_SURE))
        whom = self.tree.referrals[check.refer or self.tree.refer_to].to
        found = (
            [self.walked.found[node] for node in nodes if node in self.walked.found] if self.walked else []
        )
        return (
            *rows(f"{check.ask} STOP on: {said}. Call: {whom}.", BLOCK),
            *rows(" ".join(found), BLOCK, bold=True),
        )

    def line(self, step: ChartStep, line: Line) -> Rows:
        """The answers along a line, and of 100 vehicles with the symptom how many go along it."""
        said = self._block_answers(step, line) if len(step.nodes) > 1 else self._answers(step, line)
        listed = said if len(said) == 1 else [f"• {each}" for each in said]
        bold = self.on_walk(line)
        written = tuple(row for each in listed for row in rows(each, ANSWER, bold))
        return (*written, *rows(in_100(line.share), ANSWER, bold=True))

    def on_walk(self, line: Line) -> bool:
        """Whether a case went along the line."""
        return bool(self.walked and self.walked.ways.intersection(line.ways))

    def _answers(self, step: ChartStep, line: Line) -> list[str]:
        if len(step.lines) == 1 and len(line.ways) > 1 and not self.on_walk(line):
            return ["whatever the answer"]
        if line.to is None and len(line.ways) >= MANY:
            return ["any other answer"]
        return [self._says(way) for way in line.ways]

    def _says(self, way: Way) -> str:
        node: dict[str, Any] = self.graph.nodes[way[0]]
        return shortened(says_answer(node, way[1], self.tree), LONGEST)

    def _block_answers(self, step: ChartStep, line: Line) -> list[str]:
        """Which answers lead out of a block here, each with its question's number.

        Where most vehicles leave it nothing need be listed: that is what is left.
        """
        if self.stops(line):
            return ["any STOP answer"]
        others = [each for each in step.lines if each is not line and not self.stops(each)]
        if all(line.share > each.share for each in others):
            return ["any other answer"] if others else ["no danger found"]
        numbers = self._numbers(step)
        usual: dict[str, set[str]] = {}
        for each in (line, *others):
            for of, answers in self._through(step, each).items():
                usual.setdefault(of, set()).update(answers)
        telling = {of: words for of, words in self._through(step, line).items() if words != usual[of]}
        return [f"{numbers[of]}: {', '.join(sorted(words))}" for of, words in telling.items()]

    def _through(self, step: ChartStep, line: Line) -> dict[str, set[str]]:
        """Question -> its answers with which a block can be left by a line."""
        reached, found = {node for node, _ in line.ways}, dict[str, set[str]]()
        for way in line.ways:
            found.setdefault(self.graph.nodes[way[0]]["of"], set()).add(self._says(way))
        for node in sorted(step.nodes, reverse=True):
            for before, _, answer in self.graph.in_edges(node, keys=True) if node in reached else ():
                reached.add(before)
                found.setdefault(self.graph.nodes[before]["of"], set()).add(self._says((before, answer)))
        return {of: found[of] for of in self._numbers(step) if of in found}

    def stops(self, line: Line) -> bool:
        """Whether a line leads to a stop."""
        return line.to is not None and bool(self.graph.nodes[line.to]["kind"] == "stop")

    def target(self, line: Line, page: int | None = None) -> Rows:
        """What stands at the end of a line that leads to no step beneath it."""
        if line.to is None:
            return rows("1 more step" if line.behind == 1 else f"{line.behind} more steps", END)
        if is_step(self.graph, line.to):
            return self.connector(line.to, page)
        said = {self._says_end(to) for to in self._targets(line)}
        came = self.walked.at & self._targets(line) if self.walked else set()
        text = self._says_end(min(came, default=line.to))
        if len(said) > 1 and not came:
            text = "STOP, danger. Whom to call stands with the question."
        return rows(text, END, bold=self.stops(line) or self.ended(line))

    def _says_end(self, node: int) -> str:
        end = self.graph.nodes[node]
        return says_end(end["kind"], end["of"], self.tree)

    def ended(self, line: Line) -> bool:
        """Whether a case ended at the end of this line."""
        if self.walked is None or line.to is None or is_step(self.graph, line.to):
            return False
        return not self.walked.at.isdisjoint(self._targets(line)) and self.on_walk(line)

    def _targets(self, line: Line) -> set[int]:
        """The nodes to which the edges of a line lead."""
        edges = (edge for node, _ in line.ways for edge in self.graph.out_edges(node, keys=True))
        return {to for node, to, answer in edges if (node, answer) in line.ways}

    def connector(self, to: int, page: int | None = None) -> Rows:
        """The number of the step at which the chart goes on, and the page if it is another."""
        number = Row(str(self.chart.by_node()[to].number), bold=True)
        return (number, Row(f"page {page}")) if page else (number,)
