"""The `in_100` figures: which cause needs one, and what the cut sets come to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import prod

from diagnose.knowledge.cut_sets import all_minimal_cut_sets
from diagnose.knowledge.faults import DraftEvent, DraftFaults
from diagnose.knowledge.form import Flaws
from diagnose.knowledge.ids import quoted
from diagnose.terms import TOP

CutSet = frozenset[str]


@dataclass(frozen=True, slots=True)
class CutSets:
    """The minimal cut sets of a tree: ordered ones of the top, and those of every event as sets."""

    top: tuple[tuple[str, ...], ...]
    of: Mapping[str, frozenset[CutSet]]


def cut_sets_of(faults: DraftFaults) -> CutSets:
    """Every event's minimal cut sets in file order; raises TooManyCutSets."""
    order = [cause.id for cause in faults.causes()]
    place = {cause: number for number, cause in enumerate(order)}
    of = all_minimal_cut_sets(faults.gates(), TOP, order)
    top = sorted(sorted(causes, key=place.__getitem__) for causes in of[TOP])
    top.sort(key=lambda causes: [place[cause] for cause in causes])
    return CutSets(tuple(tuple(causes) for causes in top), of)


def ruling_events(faults: DraftFaults, above: Mapping[str, frozenset[str]]) -> list[DraftEvent]:
    """The `all_of` events that have a share, the outermost first."""
    ruling = [
        event for event in faults.events.values() if event.gate == "all_of" and "in_100" in event.filled
    ]
    return sorted(ruling, key=lambda event: len(above[event.id]) if event.id != TOP else -1)


def causes_without_share(faults: DraftFaults, cut_sets: CutSets, flaws: Flaws) -> None:
    """A cause needs `in_100` unless every cut set that holds it has the share of an `all_of` event."""
    shared: set[CutSet] = set()
    for event in faults.events.values():
        if event.gate == "all_of" and "in_100" in event.filled:
            shared |= cut_sets.of.get(event.id, frozenset())
    lacking: set[str] = set()
    for causes in cut_sets.top:
        if frozenset(causes) not in shared:
            lacking |= {cause for cause in causes if "in_100" not in faults.events[cause].filled}
    for cause in faults.causes():
        if cause.id in lacking:
            flaws.at(
                cause.key,
                f"cause {quoted(cause.id)} lacks in_100: of 100 vehicles, how many turn out to be this",
            )


def total_in_100(faults: DraftFaults, cut_sets: CutSets, above: Mapping[str, frozenset[str]]) -> float:
    """What the shares of all cut sets add up to.

    A cut set has the share of the outermost `all_of` event that has one and of which it is a cut set; that
    share is spread whole over its cut sets. Without such an event it is the product of its causes' shares as
    chances.
    """
    total = 0.0
    open_sets = {frozenset(causes) for causes in cut_sets.top}
    for event in ruling_events(faults, above):
        own = open_sets & cut_sets.of.get(event.id, frozenset())
        if own:
            everything = {frozenset(causes) for causes in cut_sets.top} & cut_sets.of[event.id]
            weigh = {causes: _chance(faults, causes) for causes in everything}
            total += (
                event.filled.number("in_100") * sum(weigh[causes] for causes in own) / sum(weigh.values())
            )
            open_sets -= own
    return total + sum(100 * _chance(faults, causes) for causes in open_sets)


def _chance(faults: DraftFaults, causes: CutSet) -> float:
    """The product of the causes' chances, a cause without a share counting one."""
    return prod(faults.events[cause].filled.number("in_100", 100.0) / 100 for cause in causes)
