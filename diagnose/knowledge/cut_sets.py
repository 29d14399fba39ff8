"""Minimal cut sets of a fault tree: the smallest sets of causes that together make an event.

Bottom-up over the gates (Fussell & Vesely 1972; NUREG-0492, 1981), each set a bit mask, repeats and supersets
dropped at every gate: `a & b == a` says that a lies within b. Exponential at worst, so both the number of
sets and the work are capped, and the gate that bursts the cap is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.terms import DiagnoseError, Gate

MOST = 5000
_MOST_WORK = 20_000_000
"""Sets joined or compared in one run; a second or two."""

Gates = Mapping[str, tuple[Gate | None, tuple[str, ...]]]
"""For every event its gate and inputs; for a cause (None, ())."""


class TooManyCutSets(DiagnoseError):
    """A gate has more minimal cut sets than can be handled; `gate` is its id, "" the top of a tree."""

    def __init__(self, gate: str, most: int) -> None:
        self.gate = gate
        self.most = most
        name = f'"{gate}" has' if gate else "the top event has"
        super().__init__(f"{name} more minimal cut sets than can be handled ({most} at most)")


def minimal_cut_sets(
    gates: Gates, top: str, order: Sequence[str], most: int = MOST
) -> tuple[tuple[str, ...], ...]:
    """The minimal cut sets of an event, each with its causes in `order`, the sets ordered by those.

    `gates` must have no cycle; `order` holds every cause. Raises TooManyCutSets.

    >>> gates = {"top": ("any_of", ("a", "pair")), "pair": ("all_of", ("a", "b"))}
    >>> gates |= {"a": (None, ()), "b": (None, ())}
    >>> minimal_cut_sets(gates, "top", ["a", "b"])
    (('a',),)
    """
    return named(cut_set_masks(gates, top, order, most)[top], order)


def named(masks: Iterable[int], order: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Masks as causes: bit n stands for the nth of `order`.

    >>> named([6, 1], ["a", "b", "c"])
    (('a',), ('b', 'c'))
    """
    by_place = sorted([place for place in range(mask.bit_length()) if mask >> place & 1] for mask in masks)
    return tuple(tuple(order[place] for place in places) for places in by_place)


def cut_set_masks(gates: Gates, top: str, order: Sequence[str], most: int = MOST) -> dict[str, list[int]]:
    """The minimal cut sets of every event at or below `top`, as masks over `order`; raises TooManyCutSets."""
    bits = {cause: 1 << place for place, cause in enumerate(order)}
    work = _Work(most)
    masks: dict[str, list[int]] = {}
    for event in inputs_first(gates, top):
        gate, inputs = gates[event]
        if gate is None:
            masks[event] = [bits[event]]
        elif len(inputs) == 1:
            masks[event] = masks[inputs[0]]
        elif gate == "any_of":
            masks[event] = work.minimal((mask for one in inputs for mask in masks[one]), event)
        else:
            masks[event] = work.product([masks[one] for one in inputs], event)
    return masks


def inputs_first(gates: Gates, top: str) -> list[str]:
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


class _Work:
    """Joining and comparing sets, with the caps kept over a whole run."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.left = _MOST_WORK

    def spend(self, units: int, gate: str) -> None:
        self.left -= units
        if self.left < 0:
            raise TooManyCutSets(gate, self.most)

    def product(self, factors: Sequence[list[int]], gate: str) -> list[int]:
        """One set of each input joined, for every choice; few at a time, so that a burst is met early."""
        joined = [0]
        for factor in sorted(factors, key=len):
            self.spend(len(joined) * len(factor), gate)
            joined = self.minimal((one | other for one in joined for other in factor), gate)
        return joined

    def minimal(self, masks: Iterable[int], gate: str) -> list[int]:
        """The sets that hold no other one: only smaller ones can lie within, single causes go by one AND."""
        by_size: dict[int, list[int]] = {}
        for mask in sorted(set(masks)):
            by_size.setdefault(mask.bit_count(), []).append(mask)
        kept: list[int] = []
        singles = 0
        for size in sorted(by_size):
            smaller = [mask for mask in kept if mask.bit_count() > 1]
            for mask in by_size[size]:
                if mask & singles:
                    continue
                self.spend(len(smaller) + 1, gate)
                if any(other & mask == other for other in smaller):
                    continue
                kept.append(mask)
                if len(kept) > self.most:
                    raise TooManyCutSets(gate, self.most)
            if size == 1:
                singles = sum(by_size[1])
        return kept
