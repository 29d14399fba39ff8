"""Cycles of what rests on what, found without recursion, since a chain may be long."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.knowledge.nodes import Scalar


def cycles(inputs: Mapping[str, Sequence[Scalar]]) -> Iterator[tuple[list[str], Scalar]]:
    """Each word that leads back to one on the way to it: the path, and the word that closes it.

    `inputs` are the words that each id names; those that are no ids themselves lead nowhere. A long path is
    cut short in its middle.
    """
    state: dict[str, bool] = {}  # True while an id is on the path
    for start in inputs:
        if start in state:
            continue
        path = [start]
        open_inputs = [iter(inputs[start])]
        state[start] = True
        while path:
            key = next(open_inputs[-1], None)
            if key is None:
                state[path.pop()] = False
                open_inputs.pop()
            elif key.value in inputs and key.value not in state:
                state[key.value] = True
                path.append(key.value)
                open_inputs.append(iter(inputs[key.value]))
            elif state.get(key.value):
                loop = [*path[path.index(key.value) :], key.value]
                yield (loop if len(loop) < 12 else [*loop[:5], "…", *loop[-5:]]), key
