"""The part of the proof that follows beliefs: rule 3.

Once the causes under gas, or those under mains, together hold more than half of the probability and nothing
of theirs is left that this person may do, the walk refers. Most nodes are cleared without any belief: if
even the union of what all paths to a node have asked and tried leaves something of theirs, the rule asks
nothing there. Only to the others are beliefs followed, along every path, equal ones being one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.model import Model
from diagnose.terms import COULD_NOT, NOT_SURE

if TYPE_CHECKING:
    from networkx import MultiDiGraph

    Graph: TypeAlias = MultiDiGraph[int]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Violation = tuple[list[tuple[int, str]], int]
_LEAST = np.finfo(float).tiny
_HALF = 0.5 + 1e-9
"""More than half by more than rounding."""
_SAME = 1e9
"""Beliefs that agree to nine places are one."""


@dataclass(frozen=True, slots=True, eq=False)
class _Theirs:
    """What belongs to the causes under one hazard."""

    hypotheses: NDArray[np.bool_]
    steps: int
    """Bits of their checks and remedies that need no tools."""


def must_have_referred(graph: Graph, model: Model, order: list[int]) -> Violation | None:
    """A path (node and answer pairs) and the node where it should have referred, or None.

    `order` holds the nodes so that every edge leads forward in it.
    """
    from networkx import ancestors

    bits, starting, restoring = _step_bits(model)
    theirs = [each for each in (_theirs(model, bits, h) for h in ("gas", "mains")) if each is not None]
    if not theirs:
        return None
    suspects = _suspects(graph, model, order, bits, starting, restoring, theirs)
    if not suspects:
        return None
    wanted = set(suspects).union(*(ancestors(graph, at) for at in suspects))
    follower = _Follower(graph, model, bits, starting, restoring)
    for at in order:
        if at in wanted:
            rows = follower.arrive(at)
            if at in suspects:
                broken = follower.broken(rows, theirs)
                if broken is not None:
                    return follower.steps_to(at, broken), at
            follower.leave(at, wanted)
    return None


def _step_bits(model: Model) -> tuple[dict[tuple[str, str], int], int, int]:
    """A bit for each step of the tree; masks of those that start the appliance and that restore the mains."""
    bits: dict[tuple[str, str], int] = {}
    starting = restoring = 0
    for check in model.tree.checks.values():
        if not check.fact:
            bit = bits["check", check.id] = 2 ** len(bits)
            starting |= bit if check.starts else 0
            restoring |= bit if check.restores_mains else 0
    for each in model.hypotheses:
        if each.ending == "do":
            bit = bits["remedy", each.id] = 2 ** len(bits)
            starting |= bit
            restoring |= bit if each.restores_mains else 0
    return bits, starting, restoring


def _theirs(model: Model, bits: dict[tuple[str, str], int], hazard: str) -> _Theirs | None:
    tree = model.tree
    under = np.array([hazard in each.hazards for each in model.hypotheses])
    if not under.any():
        return None
    names: set[str] = set()
    for cause in tree.causes():
        if hazard in cause.hazards:
            names |= {cause.id} | cause.above
    steps = 0
    for check in tree.checks.values():
        mine = model.role == "technician" or check.by == "owner"
        mine = check.id in tree.ask_first or (mine and not model.cannot.intersection(check.needs))
        if not check.fact and mine and check.hands != "tools" and names & set(check.expect):
            steps |= bits["check", check.id]
    for each in model.hypotheses:
        if each.ending == "do" and each.hands != "tools" and hazard in each.hazards:
            steps |= bits["remedy", each.id]
    return _Theirs(under, steps)


def _suspects(
    graph: Graph,
    model: Model,
    order: list[int],
    bits: dict[tuple[str, str], int],
    starting: int,
    restoring: int,
    theirs: list[_Theirs],
) -> set[int]:
    """Nodes other than referrals, stops and cures at which nothing of theirs may be left on some path."""
    tries = model.tree.tries
    used, starts, restored = dict.fromkeys(graph, 0), dict.fromkeys(graph, 0), dict.fromkeys(graph, False)
    suspects = set()
    free = len(model.tree.ask_first)
    depth = dict.fromkeys(graph, 0)
    for at in order:
        node = graph.nodes[at]
        barred = used[at]
        if tries is not None and starts[at] >= tries:
            barred |= starting
        if restored[at]:
            barred |= restoring
        open_to_it = node["kind"] in ("check", "remedy", "handover") and depth[at] >= free
        if open_to_it and any(not each.steps & ~barred for each in theirs):
            suspects.add(at)
        bit = bits.get((node["kind"], node["of"]), 0)
        for _, to, answer in graph.out_edges(at, keys=True):
            used[to] |= used[at] | bit
            counts = bool(bit & starting) and answer != COULD_NOT
            starts[to] = max(starts[to], starts[at] + counts)
            restored[to] |= restored[at] or (bool(bit & restoring) and answer != COULD_NOT)
            depth[to] = max(depth[to], depth[at] + 1)
    return suspects


@dataclass(slots=True, eq=False)
class _Rows:
    """Distinct ways in which paths stand at one node."""

    belief: Array
    used: Ints
    starts: Ints
    restored: NDArray[np.bool_]
    origin: list[tuple[int, int, str] | None]
    """For each: the node before, its row there, the answer given; none at the start."""


class _Follower:
    """Carries beliefs along the edges, node by node in topological order."""

    def __init__(
        self, graph: Graph, model: Model, bits: dict[tuple[str, str], int], starting: int, restoring: int
    ) -> None:
        self._graph, self._model = graph, model
        self._bits, self._starting, self._restoring = bits, starting, restoring
        self._waiting: dict[int, list[_Rows]] = {}
        self._arrived: dict[int, _Rows] = {}

    def arrive(self, at: int) -> _Rows:
        """All distinct states that reach a node."""
        if at == self._graph.graph["start"]:
            none = np.zeros(1, dtype=np.int64)
            rows = _Rows(self._model.prior[None, :], none, none, np.zeros(1, dtype=bool), [None])
        else:
            rows = _distinct(self._waiting.pop(at))
        self._arrived[at] = rows
        return rows

    def leave(self, at: int, wanted: set[int]) -> None:
        """Sends a node's states along its edges."""
        rows, node = self._arrived[at], self._graph.nodes[at]
        bit = self._bits.get((node["kind"], node["of"]), 0)
        for _, to, answer in self._graph.out_edges(at, keys=True):
            if to not in wanted:
                continue
            counts = answer != COULD_NOT
            belief = rows.belief * self._likelihood(node["kind"], node["of"], answer)
            # What cannot be leaves no belief at all: then nothing leads, as where the cause is not listed.
            belief /= np.maximum(belief.sum(axis=1, keepdims=True), _LEAST)
            self._waiting.setdefault(to, []).append(
                _Rows(
                    belief,
                    rows.used | bit,
                    rows.starts + int(counts and bool(bit & self._starting)),
                    rows.restored | (counts and bool(bit & self._restoring)),
                    [(at, row, answer) for row in range(len(rows.used))],
                )
            )

    def broken(self, rows: _Rows, theirs: list[_Theirs]) -> int | None:
        """The first row at which the rule asks for a referral."""
        tries = self._model.tree.tries
        barred = rows.used.copy()
        if tries is not None:
            barred |= np.where(rows.starts >= tries, self._starting, 0)
        barred |= np.where(rows.restored, self._restoring, 0)
        for each in theirs:
            leads = rows.belief @ each.hypotheses > _HALF
            at = np.flatnonzero(leads & ((each.steps & ~barred) == 0))
            if len(at):
                return int(at[0])
        return None

    def steps_to(self, at: int, row: int) -> list[tuple[int, str]]:
        """The path by which a row came, as (node, answer) pairs."""
        steps: list[tuple[int, str]] = []
        while (origin := self._arrived[at].origin[row]) is not None:
            at, row, answer = origin
            steps.append((at, answer))
        return steps[::-1]

    def _likelihood(self, kind: str, of: str, answer: str) -> Array:
        if kind == "check" and answer != NOT_SURE:
            check = self._model.tree.checks[of]
            return np.asarray(self._model.rows[of][:, check.answer_ids().index(answer)])
        likelihood = np.ones(len(self._model.ids))
        if kind == "remedy" and answer != COULD_NOT:
            at = self._model.index[of]
            likelihood[at] = 1 - self._model.hypotheses[at].cures
        return likelihood


def _distinct(parts: list[_Rows]) -> _Rows:
    belief = np.concatenate([p.belief for p in parts])
    used = np.concatenate([p.used for p in parts])
    starts = np.concatenate([p.starts for p in parts])
    restored = np.concatenate([p.restored for p in parts])
    origin = [each for p in parts for each in p.origin]
    key = np.column_stack([used, starts, restored, np.round(belief * _SAME).astype(np.int64)])
    view = np.ascontiguousarray(key).view([("", np.int64)] * key.shape[1]).ravel()
    _, first = np.unique(view, return_index=True)
    first.sort()
    return _Rows(
        belief[first], used[first], starts[first], restored[first], [origin[at] for at in first.tolist()]
    )
