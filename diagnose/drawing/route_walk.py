"""A case followed along a route: which lines it went, what it found there, and what lies beside the route.

A walk asks more than its route has: danger questions and the smell of gas anew, facts of the vehicle. And
it may leave the route: what is said without being asked, the exact value of a reading, or a remedy that
could not be done has it planned anew. So a case is followed as long as what was asked next is what the
route has there; from then on it is told in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from diagnose.cases.records import CaseRecord, Entry
from diagnose.drawing.route_chart import Chart, Way, is_step
from diagnose.drawing.route_texts import Walked
from diagnose.drawing.route_words import OUTCOMES, says_cut_set, says_end, says_found
from diagnose.terms import CURED, NOT_CURED, Tree
from diagnose.walking.past import BY_TIME, Past, check_of, read_past
from diagnose.walking.renamed import without_place
from diagnose.walking.sheet_making import STATES

if TYPE_CHECKING:
    from networkx import MultiDiGraph

_AGAIN = "The danger questions were due again."


@dataclass(frozen=True, slots=True)
class Walk:
    """A case on a route."""

    walked: Walked
    head: tuple[str, ...]
    """What is said of the case first."""
    beside: tuple[str, ...]
    """What happened that is no step of the route, in the order of the journal."""
    off: tuple[str, ...]
    """What was asked, done and reached after the case had left the route."""
    left_at: int | None
    """The last node that it came by on the route."""

    def notes(self, chart: Chart) -> tuple[str, ...]:
        """All of it in words, with the numbers that the steps have in a chart."""
        beside = ("Beside the route:", *(f"• {each}" for each in self.beside)) if self.beside else ()
        if not self.off:
            return (*self.head, *beside)
        number = next((step.last_number for step in chart.steps if self.left_at in step.nodes), None)
        where = f" after step {number}" if number is not None else ""
        return (*self.head, *beside, f"Off the route{where}:", *(f"• {each}" for each in self.off))


def followed(graph: MultiDiGraph[int], tree: Tree, record: CaseRecord) -> Walk:
    """The case on the route; its lines are read with the words of the tree as it is today."""
    past = read_past(tree, record.entries)
    way = _Way(graph, tree, past)
    asked = any(not line.ahead for line in past.live if line.kind in ("finding", "tried"))
    for line in past.live:
        way.take(line)
    if not asked:
        way.by_what_is_known()
    way.end(record)
    taken_back = [line for line in past.lines if line not in past.live and line.kind in ("finding", "tried")]
    back = tuple(f"Taken back: {_says(tree, line)}" for line in taken_back)
    dropped = tuple(f"No longer in the tree: {id}" for id, _ in without_place(tree, record.entries))
    return Walk(
        Walked(frozenset(way.ways), frozenset(way.at), dict(way.found)),
        _head(record, tree, asked),
        (*way.beside, *back, *dropped),
        tuple(way.off),
        way.ways[-1][0] if way.ways else None,
    )


def _head(record: CaseRecord, tree: Tree, asked: bool) -> tuple[str, ...]:
    of = f" of {record.vehicle}" if record.vehicle else ""
    opened = record.opened.astimezone()
    said = [f"Case {record.case}{of}, opened {opened.day} {opened:%B %Y}: {STATES[record.state]}."]
    if record.tree_digest and tree.digest != record.tree_digest:
        said.append("The tree has changed since then; the route and the words are those of today.")
    if not asked:
        said.append("It was not walked here, so the route is followed by what was found.")
    return tuple(said)


def _says(tree: Tree, line: Entry) -> str:
    """One line of a journal, in the words of the tree."""
    if line.kind == "tried":
        return (
            f"{says_cut_set(line.subject, tree)}, put right: {OUTCOMES.get(line.answer or '', 'could not')}"
        )
    check = check_of(tree, line.subject)
    if check is None:
        return line.subject
    if line.kind == "unsure":
        return f"{check.ask} Not sure at first; help was suggested."
    return f"{check.ask} {says_found(check, line)}"


@dataclass(slots=True)
class _Way:
    """Where a case stands on the route while its lines are read."""

    graph: MultiDiGraph[int]
    tree: Tree
    past: Past
    node: int = -1
    ways: list[Way] = field(default_factory=list)
    at: set[int] = field(default_factory=set)
    found: dict[int, str] = field(default_factory=dict)
    beside: list[str] = field(default_factory=list)
    off: list[str] = field(default_factory=list)
    known: dict[str, Entry] = field(default_factory=dict)
    """What was said without being asked, by check."""
    found_before: set[str] = field(default_factory=set)
    """Checks that were answered already; after a remedy one may be asked once more."""
    tried: str = ""
    """The remedy that works now, while it is not made sure of."""

    def __post_init__(self) -> None:
        self.node = self.graph.graph["start"]

    def take(self, line: Entry) -> None:
        """Reads one line that holds."""
        if line.kind == "finding":
            self._finding(line)
        elif line.kind == "tried":
            self._tried(line)
        elif line.kind == "cured-when":
            self._made_sure(line)
        elif line.kind == "resumed":
            self.beside.append(_AGAIN if line.subject == BY_TIME else f"Taken up again. {_AGAIN}")
        elif line.kind == "unsure":
            self.beside.append(_says(self.tree, line))
        elif line.kind == "cleared":
            self.beside.append(f"Has somebody qualified cleared the vehicle? {line.answer}.")
        elif line.kind == "danger":
            self.off.append("Danger was said.")

    def _finding(self, line: Entry) -> None:
        if line.ahead:
            self.known[line.subject] = line
            self.beside.append(f"Said without being asked: {_says(self.tree, line)}")
        elif not self.off and self._reach("check", line.subject):
            self._go(line)
        elif line.subject in self.tree.ask_first or line.subject in self.found_before:
            self.beside.append(f"Asked again: {_says(self.tree, line)}")
        elif (check := check_of(self.tree, line.subject)) is not None and check.fact:
            self.beside.append(f"Asked of the vehicle: {_says(self.tree, line)}")
        else:
            self.off.append(_says(self.tree, line))
        self.found_before.add(line.subject)

    def _tried(self, line: Entry) -> None:
        if self.off or not self._reach("remedy", line.subject):
            self.off.append(_says(self.tree, line))
        elif line.answer == CURED:
            self.tried = line.subject
            self.at.add(self.node)
        else:
            self._go(line)

    def _made_sure(self, line: Entry) -> None:
        """The answer to the cured question, by which a remedy that works now is cured or no better."""
        yes = line.answer == "yes"
        if self.tried == line.subject and not self.off:
            self._along(CURED if yes else NOT_CURED)
        else:
            self.off.append(f"{self.tree.cured_when.ask} {line.answer}")
        self.tried = ""

    def _reach(self, kind: str, of: str) -> bool:
        """Whether the route stands there, at most led on by what was said without being asked."""
        node, passed = self.node, list[Way]()
        while not self._is(node, kind, of):
            line = self.known.get(self._data(node)["of"]) if self._data(node)["kind"] == "check" else None
            to = self._to(node, line.answer) if line is not None and line.answer is not None else None
            if line is None or line.answer is None or to is None:
                return False
            passed.append((node, line.answer))
            node = to
        for before, answer in passed:
            self._pass(before, answer)
        self.node = node
        return True

    def by_what_is_known(self) -> None:
        """Along the route as far as what was found leads, for a case that nobody was asked in."""
        while (line := self.known.get(self._data(self.node)["of"])) is not None and line.answer is not None:
            before, to = self.node, self._to(self.node, line.answer)
            if to is None:
                return
            self._pass(before, line.answer)
            self.node = to

    def _pass(self, node: int, answer: str) -> None:
        self.ways.append((node, answer))
        self.at.add(node)
        check = self.tree.checks[self._data(node)["of"]]
        self.found[node] = f"Not asked, known: {says_found(check, self.known[check.id])}"

    def _go(self, line: Entry) -> None:
        check = self.tree.checks.get(line.subject)
        if check is not None:
            self.found[self.node] = f"Found: {says_found(check, line)}"
        self._along(line.answer or "")

    def _along(self, answer: str) -> None:
        to = self._to(self.node, answer)
        self.at.add(self.node)
        if to is None:
            self.off.append(f"No line of the route: {answer}")
            return
        self.ways.append((self.node, answer))
        self.node = to

    def end(self, record: CaseRecord) -> None:
        """Marks where the case stands or ended, on the route or off it."""
        data = self._data(self.node)
        ended = {"cured": "cured", "stopped": "stop"}.get(record.state)
        on_it = data["kind"] == ended or (
            record.state == "referred"
            and not is_step(self.graph, self.node)
            and data["of"] == record.referral
        )
        waits = record.state in ("open", "left-off") and not self.off
        if not self.off and (on_it or waits):
            self.at.add(self.node)
        elif ended != "cured":
            self.off.append(self._ended(record))

    def _ended(self, record: CaseRecord) -> str:
        """How a case ended that did not end where the route does."""
        if record.state in ("open", "left-off"):
            return f"{STATES[record.state].capitalize()}."
        if record.referral not in self.tree.referrals:
            return says_end("handover", record.referral, self.tree)
        return says_end("stop" if record.state == "stopped" else "referral", record.referral, self.tree)

    def _data(self, node: int) -> dict[str, Any]:
        data: dict[str, Any] = self.graph.nodes[node]
        return data

    def _is(self, node: int, kind: str, of: str) -> bool:
        return bool(self._data(node)["kind"] == kind and self._data(node)["of"] == of)

    def _to(self, node: int, answer: str) -> int | None:
        edges: Sequence[tuple[int, int, str]] = list(self.graph.out_edges(node, keys=True))
        return next((to for _, to, key in edges if key == answer), None)
