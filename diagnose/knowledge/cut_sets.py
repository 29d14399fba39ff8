"""Minimal cut sets of a fault tree: the smallest sets of causes that together make an event.

Bottom-up over the gates (Fussell & Vesely 1972; NUREG-0492, 1981), each set a bit mask, repeats and supersets
dropped at every gate: `a & b == a` says that a lies within b. Exponential at worst, so the number of sets is
capped and the gate that bursts the cap is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.terms import DiagnoseError, Gate

MOST = 5000


class TooManyCutSets(DiagnoseError):
    """A gate has more minimal cut sets than can be handled; `gate` is its id."""

    def __init__(self, gate: str, most: int) -> None:
        self.gate = gate
        self.most = most
        super().__init__(
            f'"{gate}" has more than {most} minimal cut sets' if gate else f"more than {most} cut sets"
        )


def minimal_cut_sets(
    gates: Mapping[str, tuple[Gate | None, tuple[str, ...]]],
    top: str,
    order: Sequence[str],
    most: int = MOST,
) -> tuple[tuple[str, ...], ...]:
    """The minimal cut sets of an event, each with its causes in `order`, the sets ordered by those.

    `gates` holds for every event its gate and inputs, for a cause (None, ()); it must have no cycle. `order`
    holds every cause. Raises TooManyCutSets.

    >>> gates = {"top": ("any_of", ("a", "pair")), "pair": ("all_of", ("a", "b"))}
    >>> gates |= {"a": (None, ()), "b": (None, ())}
    >>> minimal_cut_sets(gates, "top", ["a", "b"])
    (('a',),)
    """
    sets = _masks(gates, top, {cause: 1 << place for place, cause in enumerate(order)}, most)[top]
    by_place = sorted([place for place in range(len(order)) if mask >> place & 1] for mask in sets)
    return tuple(tuple(order[place] for place in places) for places in by_place)


def all_minimal_cut_sets(
    gates: Mapping[str, tuple[Gate | None, tuple[str, ...]]],
    top: str,
    order: Sequence[str],
    most: int = MOST,
) -> dict[str, frozenset[frozenset[str]]]:
    """The minimal cut sets of every event at or below `top`; raises TooManyCutSets."""
    masks = _masks(gates, top, {cause: 1 << place for place, cause in enumerate(order)}, most)
    wanted = {event for event in masks if gates[event][0] is not None}
    return {
        event: frozenset(
            frozenset(order[place] for place in range(mask.bit_length()) if mask >> place & 1)
            for mask in masks[event]
        )
        for event in wanted
    }


def _masks(
    gates: Mapping[str, tuple[Gate | None, tuple[str, ...]]], top: str, bits: Mapping[str, int], most: int
) -> dict[str, list[int]]:
    """Every event's minimal sets as masks, inputs before what they feed."""
    masks: dict[str, list[int]] = {}
    for event in inputs_first(gates, top):
        gate, inputs = gates[event]
        if gate is None:
            masks[event] = [bits[event]]
        elif gate == "any_of":
            masks[event] = _minimal((mask for one in inputs for mask in masks[one]), event, most)
        else:
            masks[event] = _product([masks[one] for one in inputs], event, most)
    return masks


def inputs_first(gates: Mapping[str, tuple[Gate | None, tuple[str, ...]]], top: str) -> list[str]:
    """All events at or below `top`, each after its inputs. Without recursion: a chain may be long."""
    done: dict[str, None] = {}
    stack = [(top, False)]
    while stack:
        event, inputs_done = stack.pop()
        if inputs_done:
            done[event] = None
        elif event not in done:
            stack.append((event, True))
            stack.extend((one, False) for one in reversed(gates[event][1]) if one not in done)
    return list(done)


def _product(factors: Sequence[list[int]], gate: str, most: int) -> list[int]:
    """One set of each input joined, for every choice; few at a time, so that a burst is met early."""
    joined = [0]
    for factor in sorted(factors, key=len):
        if len(joined) * len(factor) > 40 * most:
            raise TooManyCutSets(gate, most)
        joined = _minimal((one | other for one in joined for other in factor), gate, most)
    return joined


def _minimal(masks: Iterable[int], gate: str, most: int) -> list[int]:
    """The sets that hold no other one. Single causes, by far the most, are compared by one AND."""
    by_size = sorted(set(masks), key=lambda mask: (mask.bit_count(), mask))
    singles = 0
    kept: list[int] = []
    larger: list[int] = []
    for mask in by_size:
        if mask & singles and mask.bit_count() > 1:
            continue
        if any(other & mask == other for other in larger):
            continue
        kept.append(mask)
        if len(kept) > most:
            raise TooManyCutSets(gate, most)
        if mask.bit_count() == 1:
            singles |= mask
        else:
            larger.append(mask)
    return kept
