"""A fault tree as it goes onto paper: each event once, small parts folded, what stands twice by transfer.

A fault tree may be a graph. On paper it is a tree: an event that stands in several places is drawn at the
first, and elsewhere a transfer symbol leads there. A branch's share is the sum of the `in_100` figures of the
cut sets that make its event happen, so a cause below several branches counts in each, and once above them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, replace
from functools import reduce
from operator import and_, or_
from typing import Literal

from diagnose.drawing.case_marks import NO_CASE, Marks
from diagnose.drawing.learned import BY_FILE, Learned
from diagnose.knowledge.cut_sets import inputs_first
from diagnose.reasoning.hypotheses import cut_set_in_100
from diagnose.terms import NOT_LISTED, TOP, Event, Gate, Tree

Kind = Literal["event", "cause", "not-listed", "folded", "transfer"]


@dataclass(frozen=True, slots=True)
class Branch:
    """One event as it is drawn, with what is drawn below it.

    `folded` stands for several events that are not drawn, of which `causes` causes make up `share`.
    `transfer` leads to where the event is drawn: to the letter `mark` on the same page, or to a page.
    """

    kind: Kind
    id: str
    says: str
    share: float = 0.0
    """Of 100 vehicles with the symptom."""
    event: Event | None = None
    gate: Gate | None = None
    below: tuple[Branch, ...] = ()
    causes: int = 1
    mark: str = ""
    """Letter or number of the transfer symbol, at both ends."""
    page: int = 0
    """Where the letter `mark` stands, if that is another page."""
    hazards: frozenset[str] = frozenset()
    """Its own and those of what is above; of what is not drawn here, all that is in it."""
    now: float | None = None
    """Of 100 vehicles with a case's findings."""
    note: str = ""
    """What a case says of this cause."""
    found: bool = False
    """Whether a case turned out to be this."""
    met: str = ""
    """How many of a store's cases turned out to be this or something below it; empty where none counts."""

    @property
    def likely(self) -> float:
        """The share that counts: with the findings of a case, else without."""
        return self.share if self.now is None else self.now

    def all(self) -> Iterator[Branch]:
        """This branch and every one below it, from above."""
        stack = [self]
        while stack:
            one = stack.pop()
            yield one
            stack.extend(reversed(one.below))


class Shares:
    """In how many of 100 vehicles with the symptom each event happens; `not-listed` apart.

    An event happens where just the causes of the cut set that is present are taken as present.
    """

    def __init__(self, tree: Tree, in_100: Mapping[tuple[str, ...], float] | None = None) -> None:
        """With the tree's own figures, or others for its cut sets."""
        in_100 = cut_set_in_100(tree) if in_100 is None else in_100
        self._figures = list(in_100.values())
        self._happens: dict[str, int] = dict.fromkeys((event.id for event in tree.causes()), 0)
        """For each event the cut sets that make it happen, as bits."""
        for bit, causes in enumerate(in_100):
            for cause in causes:
                self._happens[cause] |= 1 << bit
        gates = {event.id: (event.gate, event.inputs) for event in tree.events.values()}
        for id in inputs_first(gates, TOP):
            gate, inputs = gates[id]
            if gate is not None:
                join = or_ if gate == "any_of" else and_
                self._happens[id] = reduce(join, (self._happens[one] for one in inputs))

    def of(self, *ids: str) -> float:
        """In how many of 100 one of these events happens."""
        bits = reduce(or_, (self._happens[id] for id in ids))
        return sum(figure for bit, figure in enumerate(self._figures) if bits >> bit & 1)


def told_of_events(tree: Tree, past: Learned) -> dict[str, dict[str, float]]:
    """Event -> its `share` (of 1) as a store's cases make it, and the `cases` that turned out to be it."""
    shares, met = Shares(tree, past.in_100 or None), Shares(tree, past.cases or None)
    return {
        id: {"share": shares.of(id) / 100, "cases": met.of(id) if past.in_100 else 0.0} for id in tree.events
    }


def branches(tree: Tree, down_to: float = 0.0, case: Marks = NO_CASE, past: Learned = BY_FILE) -> Branch:
    """The tree from its top event, what is rarer than `down_to` (a share of 1) folded, a case's marks on it.

    Only the inputs of an OR gate are folded, and never one alone: the box would hide it and save nothing.
    With a case what is rare is judged by its findings, and what it has tried or found is never folded. Shares
    are the file's, or as a store's cases make them (`past`).
    """
    figures = _Figures(tree, case, past)
    folded = {event.id: _to_fold(event, figures, down_to * 100) for event in tree.events.values()}
    drawn, again, marks = _places(tree, folded)
    built: dict[str, Branch] = {}
    for id in reversed(drawn):
        event = tree.events[id]
        below = [
            figures.branch("transfer", one, marks[one]) if (id, one) in again else built[one]
            for one in event.inputs
            if one not in folded[id]
        ]
        if folded[id]:
            below.append(figures.folded(id, folded[id]))
        one = figures.branch("cause" if event.gate is None else "event", id, marks.get(id, ""))
        built[id] = replace(one, gate=event.gate, below=tuple(below))
    return _with_not_listed(built[TOP], tree, case, past)


class _Figures:
    """What is known of each event: its shares, before and after a case's findings, and what cases say."""

    def __init__(self, tree: Tree, case: Marks, past: Learned) -> None:
        self.tree = tree
        self.case = case
        self.past = past
        self._shares = Shares(tree, past.in_100 or None)
        self._met = Shares(tree, past.cases) if past.in_100 else None
        self._now = Shares(tree, case.now) if case.now else None
        held = {id for id in (*case.notes, *case.found) if id in tree.events}
        self.kept = held.union(*(tree.events[id].above for id in held))
        """Events that are never folded: what the case tried or found, and all above it."""

    def likely(self, *ids: str) -> float:
        return (self._shares if self._now is None else self._now).of(*ids)

    def branch(self, kind: Kind, id: str, mark: str) -> Branch:
        event = self.tree.events[id]
        return self._with_shares(
            Branch(
                kind,
                id,
                event.says,
                event=event,
                mark=mark,
                hazards=event.hazards,
                note=self.case.notes.get(id, ""),
                found=id in self.case.found,
            ),
            id,
        )

    def folded(self, above: str, ids: Set[str]) -> Branch:
        causes = causes_below(self.tree.events, ids)
        hazards = frozenset[str]().union(*(self.tree.events[cause].hazards for cause in causes))
        return self._with_shares(Branch("folded", above, "", causes=len(causes), hazards=hazards), *ids)

    def _with_shares(self, branch: Branch, *ids: str) -> Branch:
        now = None if self._now is None else self._now.of(*ids)
        met = "" if self._met is None else self.past.of_all(self._met.of(*ids))
        return replace(branch, share=self._shares.of(*ids), now=now, met=met)


def _to_fold(event: Event, figures: _Figures, least: float) -> frozenset[str]:
    small = frozenset(one for one in event.inputs if figures.likely(one) < least and one not in figures.kept)
    return small if event.gate == "any_of" and len(small) > 1 else frozenset()


def _places(
    tree: Tree, folded: Mapping[str, frozenset[str]]
) -> tuple[list[str], set[tuple[str, str]], dict[str, str]]:
    """The events in the order of drawing, those (with their parent) that were drawn already, and their marks.

    Without recursion: a chain of events may be long.
    """
    drawn: dict[str, None] = {}
    again: set[tuple[str, str]] = set()
    marks: dict[str, str] = {}
    stack = [("", TOP)]
    while stack:
        above, id = stack.pop()
        if id in drawn:
            again.add((above, id))
            marks.setdefault(id, letters(len(marks)))
            continue
        drawn[id] = None
        kept = [one for one in tree.events[id].inputs if one not in folded[id]]
        stack.extend((id, one) for one in reversed(kept))
    return list(drawn), again, marks


def _with_not_listed(top: Branch, tree: Tree, case: Marks, past: Learned) -> Branch:
    """The symptom, which may also come from what the tree does not list."""
    hidden = Branch(
        "not-listed",
        NOT_LISTED,
        "Something that is not listed here",
        past.not_listed if past.in_100 else tree.not_listed,
        now=case.not_listed if case.now else None,
        note=case.notes.get(NOT_LISTED, ""),
        found=NOT_LISTED in case.found,
        met=past.of_all(past.cases_not_listed),
    )
    below = (*top.below, hidden)
    if top.gate == "all_of":
        below = (replace(top, says="What is listed here", event=None), hidden)
    now = None if top.now is None or hidden.now is None else top.now + hidden.now
    share = top.share + hidden.share
    met = past.of_all(past.total)
    return replace(top, says=tree.symptom, share=share, now=now, gate="any_of", below=below, met=met)


def causes_below(events: Mapping[str, Event], ids: Iterable[str]) -> set[str]:
    """The causes at or below these events."""
    seen: set[str] = set()
    stack = list(ids)
    while stack:
        one = stack.pop()
        if one not in seen:
            seen.add(one)
            stack.extend(events[one].inputs)
    return {one for one in seen if events[one].gate is None}


def letters(number: int) -> str:
    """A, B, ... Z, AA, AB and so on.

    >>> [letters(number) for number in (0, 25, 26, 27)]
    ['A', 'Z', 'AA', 'AB']
    """
    letter = chr(ord("A") + number % 26)
    return letter if number < 26 else letters(number // 26 - 1) + letter
