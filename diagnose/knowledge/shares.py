"""The `in_100` figures: which cause needs one, and what the cut sets come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod

from diagnose.knowledge.cut_sets import cut_set_masks, named
from diagnose.knowledge.faults import DraftEvent, DraftFaults
from diagnose.knowledge.form import Flaws
from diagnose.knowledge.ids import quoted
from diagnose.terms import TOP


@dataclass(frozen=True, slots=True)
class CutSets:
    """Minimal cut sets: those of the top by name, those of every event as masks over `order`."""

    top: tuple[tuple[str, ...], ...]
    order: Sequence[str]
    masks: Mapping[str, Sequence[int]]

    def of(self, event: str) -> frozenset[int]:
        """An event's cut sets; none for an event that does not lead to the top."""
        return frozenset(self.masks.get(event, ()))

    def causes(self, mask: int) -> list[str]:
        """The causes of a mask."""
        return [self.order[place] for place in range(mask.bit_length()) if mask >> place & 1]


def cut_sets_of(faults: DraftFaults) -> CutSets:
    """Every event's minimal cut sets in file order; raises TooManyCutSets."""
    order = [cause.id for cause in faults.causes()]
    masks = cut_set_masks(faults.gates(), TOP, order)
    return CutSets(named(masks[TOP], order), order, masks)


def ruling_events(faults: DraftFaults, above: Mapping[str, frozenset[str]]) -> list[DraftEvent]:
    """The `all_of` events that have a share, the outermost first."""
    ruling = [
        event for event in faults.events.values() if event.gate == "all_of" and "in_100" in event.filled
    ]
    return sorted(ruling, key=lambda event: len(above[event.id]) if event.id != TOP else -1)


def causes_without_share(faults: DraftFaults, cut_sets: CutSets, flaws: Flaws) -> None:
    """A cause needs `in_100` unless every cut set that holds it has the share of an `all_of` event."""
    unshared = cut_sets.of(TOP)
    for event in faults.events.values():
        if event.gate == "all_of" and "in_100" in event.filled:
            unshared -= cut_sets.of(event.id)
    needing = {cause for mask in unshared for cause in cut_sets.causes(mask)}
    for cause in faults.causes():
        if cause.id in needing and "in_100" not in cause.filled:
            text = f"cause {quoted(cause.id)} lacks in_100: of 100 vehicles, how many turn out to be this"
            flaws.at(cause.key, text)


def total_in_100(faults: DraftFaults, cut_sets: CutSets, above: Mapping[str, frozenset[str]]) -> float:
    """What the shares of all cut sets add up to.

    A cut set has the share of the outermost `all_of` event that has one and of which it is a cut set; that
    share is spread whole over its cut sets. Without such an event it is the product of its causes' shares as
    chances.
    """
    total = 0.0
    every = unshared = cut_sets.of(TOP)
    for event in ruling_events(faults, above):
        own = every & cut_sets.of(event.id)
        new = own & unshared
        if new:
            chances = {mask: _chance(faults, cut_sets.causes(mask)) for mask in own}
            share = sum(chances[mask] for mask in new) / sum(chances.values())
            total += event.filled.number("in_100") * share
            unshared -= new
    return total + sum(100 * _chance(faults, cut_sets.causes(mask)) for mask in unshared)


def _chance(faults: DraftFaults, causes: Sequence[str]) -> float:
    """The product of the causes' chances, a cause without a share counting one."""
    return prod(faults.events[cause].filled.number("in_100", 100.0) / 100 for cause in causes)
