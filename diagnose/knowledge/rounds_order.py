"""What comes before what in a round: the file's own words, the order that is kept, and cycles."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise

from diagnose.knowledge.cycles import cycles
from diagnose.knowledge.form import Filled, Flaws
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import Scalar

Order = Mapping[str, frozenset[str]]
"""Task -> tasks that come before it."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A task's place in a round as it is written: its key, and the words under `after`."""

    task: Scalar
    after: tuple[Scalar, ...]


def turn_of(key: Scalar, filled: Filled) -> Turn:
    """The place of one task."""
    return Turn(key, filled.scalars("after"))


def judged_order(turns: Mapping[str, Turn], kept: Order, flaws: Flaws) -> Order:
    """The order of a round; `kept` is what the shipped round has before what, which holds here too.

    Words that name no task of the round are noted, and each cycle by its path.
    """
    named: dict[str, list[Scalar]] = {}
    for id, turn in turns.items():
        named[id] = []
        for word in turn.after:
            flaws.known(word, "after", turns, "task", " of this round")
            if word.value in turns:
                named[id].append(word)
    written = {id: {word.value for word in words} for id, words in named.items()}
    shipped = between(kept, turns)
    for id, earlier in shipped.items():
        at = turns[id].task
        named[id] += [Scalar(word, at.line, at.column) for word in sorted(earlier - written[id])]
    for path, word in cycles(named):
        held = any(
            second in shipped.get(first, ()) and second not in written.get(first, ())
            for first, second in pairwise(path)
        )
        why = "; what the shipped round does first comes first here too" if held else ""
        flaws.at(word, f"after goes round in a circle: {' after '.join(map(quoted, path))}{why}")
    return {id: frozenset(word.value for word in words) for id, words in named.items()}


def between(order: Order, present: Collection[str]) -> dict[str, frozenset[str]]:
    """For each present task the present ones that come before it, by way of others too."""
    found, there = {}, set(present)
    for id in present:
        earlier: set[str] = set()
        open_ids = [id]
        while open_ids:
            fresh = order.get(open_ids.pop(), frozenset()) - earlier
            earlier |= fresh
            open_ids += fresh
        found[id] = frozenset(earlier & there)
    return found
