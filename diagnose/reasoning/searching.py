"""AND/OR search for a plan where whole tables are too large (Nilsson 1980; Hansen & Zilberstein 2001).

States are unfolded where the plan in hand is likeliest to come by, a batch at a time, and what is learned
is carried back to all states above. A state that is not unfolded is valued between what it costs to close
there and what it would cost if its cause were known: closing - kappa (closing - known). With kappa = 1 the
search would be admissible and far too slow, much below 0.3 it stops too soon. Beside that guess every state
keeps what its unfolded part can really be had for, and the plan is read off those. The budget is counted in
unfolded states, so every machine plans alike.
"""

from __future__ import annotations

from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.decisions import by_look_ahead
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import States, gathered
from diagnose.reasoning.unfolding import Unfolded, unfold

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

EXPANSIONS = 1000
"""States to unfold at most, unless told otherwise."""
BATCH = 128
"""Unfolded in one go."""
IMPROBABLE = 1e-4
"""A branch that is come by less often closes, so it is not unfolded."""
ROUNDING = 1e9

Key = tuple[int, int, bytes]


class SearchedPlan:
    """The plan that a search from a root comes to; costs are minutes for a normalised belief."""

    def __init__(self, model: Model, root: States, expansions: int = EXPANSIONS) -> None:
        self._model = model
        self._known: dict[Key, int] = {}
        self._where: list[tuple[States, int]] = []
        self._guess: list[float] = []
        self._sure: list[float] = []
        self._depth: list[int] = []
        self._parents: list[set[tuple[int, int]]] = []
        self._unfolded: dict[int, _Node] = {}
        self._closed: set[int] = set()
        self._root = int(self._register(root.normalised(), np.zeros(1), np.full(1, np.inf), 0)[0])
        self._search(expansions)

    @property
    def cost(self) -> float:
        """Expected minutes from the root of the plan as far as it was unfolded, closing behind it."""
        return self._sure[self._root]

    def decide(self, states: States) -> Ints:
        """The best step of each state; look-ahead for those that were not unfolded."""
        codes = np.zeros(len(states), dtype=np.int64)
        unknown = np.zeros(len(states), dtype=bool)
        for row, key in enumerate(_keys(states)):
            node = self._unfolded.get(self._known.get(key, -1))
            code = -1 if node is None else node.surest()
            codes[row], unknown[row] = max(code, 0), code < 0
        if unknown.any():
            codes[unknown] = by_look_ahead(self._model, states.take(unknown))
        return codes

    def _search(self, expansions: int) -> None:
        while expansions > 0:
            batch = self._likeliest_to_unfold()[: min(BATCH, expansions)]
            if not batch:
                return
            expansions -= len(batch)
            self._unfold(batch)

    def _likeliest_to_unfold(self) -> list[int]:
        """States that the plan in hand comes by and that are not followed on, likeliest first."""
        mass = {self._root: 1.0}
        waiting = [(self._depth[self._root], self._root)]
        tips: list[tuple[float, int]] = []
        changed: list[int] = []
        while waiting:
            _, at = heappop(waiting)
            node = self._unfolded.get(at)
            if node is None:
                if mass[at] >= IMPROBABLE:
                    tips.append((-mass[at], at))
                elif at not in self._closed:
                    self._closed.add(at)
                    self._guess[at] = self._sure[at]
                    changed.append(at)
                continue
            step = node.likeliest_step()
            if step < node.steps and step not in node.children:
                tips.append((-mass[at], at))
                continue
            for child, chance in node.children.get(step, ()):
                if child not in mass:
                    heappush(waiting, (self._depth[child], child))
                mass[child] = mass.get(child, 0.0) + mass[at] * chance
        self._carry_back(changed)
        return [at for _, at in sorted(tips)]

    def _unfold(self, tips: list[int]) -> None:
        found = unfold(self._model, gathered([self._where[at] for at in tips]))
        for row, at in enumerate(tips):
            node = self._unfolded.setdefault(at, _Node(found, row))
            step = node.likeliest_step()
            if step < node.steps:
                self._follow(at, node, found, row, step)
        self._carry_back(tips)

    def _follow(self, at: int, node: _Node, found: Unfolded, row: int, step: int) -> None:
        """Registers what one step of a state leads to."""
        rows = found.outcomes(row, step)
        below = self._depth[at] + 1
        children = self._register(found.after.take(rows), found.guess[rows], found.sure[rows], below)
        node.children[step] = list(zip(children, found.chance[rows].tolist(), strict=True))
        for child in children:
            self._parents[child].add((at, step))

    def _register(self, states: States, guess: Array, sure: Array, depth: int) -> list[int]:
        numbers = []
        for row, key in enumerate(_keys(states)):
            number = self._known.get(key)
            if number is None:
                number = self._known[key] = len(self._guess)
                self._where.append((states, row))
                self._guess.append(float(guess[row]))
                self._sure.append(float(sure[row]))
                self._depth.append(depth)
                self._parents.append(set())
            numbers.append(number)
        return numbers

    def _carry_back(self, changed: list[int]) -> None:
        """Values anew for the states given and for all above that they change, deepest first."""
        waiting = [(-self._depth[at], at) for at in changed]
        waiting.sort()
        queued = set(changed)
        while waiting:
            _, at = heappop(waiting)
            queued.discard(at)
            node = self._unfolded.get(at)
            if node is not None:
                node.revalue(self._guess, self._sure)
                guess, sure = node.worth()
                sure = min(sure, self._sure[at])
                same = abs(guess - self._guess[at]) <= 1e-9 * (1 + guess) and sure == self._sure[at]
                self._guess[at], self._sure[at] = guess, sure
                if same and at not in changed:
                    continue
            for parent, _ in self._parents[at]:
                if parent not in queued:
                    queued.add(parent)
                    heappush(waiting, (-self._depth[parent], parent))


class _Node:
    """An unfolded state: what each step costs by itself, and by guess and for sure with what follows."""

    def __init__(self, found: Unfolded, row: int) -> None:
        self.steps = found.cost.shape[1] - 1
        self.closing = int(found.closing_code[row])
        self._closing_cost = float(found.closing_cost[row])
        self._cost = found.cost[row].copy()
        self.guesses = found.guess_of_step[row].copy()
        self.sures = found.sure_of_step[row].copy()
        self._end_code = int(found.end_code[row])
        self.children: dict[int, list[tuple[int, float]]] = {}

    def likeliest_step(self) -> int:
        """The best-looking step; the last number is ending at once."""
        return int(self.guesses.argmin())

    def surest(self) -> int:
        """The code of the step that really is the cheapest as far as this was unfolded."""
        step = int(self.sures.argmin())
        if self._closing_cost < self.sures[step] * (1 - 1e-12):
            return self.closing
        return self._end_code if step == self.steps else step

    def worth(self) -> tuple[float, float]:
        return float(self.guesses.min()), float(min(self.sures.min(), self._closing_cost))

    def revalue(self, guess: list[float], sure: list[float]) -> None:
        """Steps that were followed are valued by what they lead to."""
        for step, children in self.children.items():
            self.guesses[step] = self._cost[step] + sum(chance * guess[at] for at, chance in children)
            self.sures[step] = self._cost[step] + sum(chance * sure[at] for at, chance in children)


def _keys(states: States) -> list[Key]:
    """What tells states apart: what was asked and done, and the belief to 1e-9."""
    belief = states.weight / states.weight.sum(axis=1, keepdims=True)
    rounded = np.round(belief * ROUNDING).astype(np.int64)
    return [
        (asked, done, row.tobytes())
        for asked, done, row in zip(states.asked.tolist(), states.done.tolist(), rounded, strict=True)
    ]
