"""What a compiled route costs and how often each node is come by, followed for each suspect in turn.

Methods: the value of a fixed route is a sum over suspects, since each row of chances belongs to one of them.
Nothing of the package's reasoning is used but the route's nodes and edges.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.reasoning.exhaustive import HAND_OVER, MONEY_PER_MINUTE, WAIT_RATE
from tests.reasoning.plain_bayes import Plain


@dataclass
class Followed:
    """Sums over every path of a route."""

    hands_on: float = 0.0
    wait: float = 0.0
    price: float = 0.0
    nodes: dict[int, float] = field(default_factory=dict)
    """How often each node is come by."""
    edges: dict[tuple[int, str], float] = field(default_factory=dict)
    """How often each edge is gone along."""
    ends: dict[str, float] = field(default_factory=dict)
    weights: dict[int, list[float]] = field(default_factory=dict)
    """The suspects' parts of each node's chance."""

    def cost(self, wait_rate=WAIT_RATE, money_per_minute=MONEY_PER_MINUTE):
        return self.hands_on + self.wait * wait_rate + self.price / money_per_minute


def follow(route, plain: Plain) -> Followed:
    """All paths of a route, suspect by suspect; a node is visited once for each set of places behind it."""
    found = Followed()
    for at, (suspect, chance) in enumerate(zip(plain.suspects, plain.prior, strict=True)):
        waiting = {(route.start, frozenset()): chance}
        while waiting:
            node_at, been = min(waiting, key=lambda key: key[0])
            here = waiting.pop((node_at, been))
            node = route.nodes[node_at]
            found.nodes[node_at] = found.nodes.get(node_at, 0.0) + here
            found.weights.setdefault(node_at, [0.0] * len(plain.suspects))[at] += here
            _spend(found, plain, node, suspect, been, here)
            if not node.edges:
                found.ends[node.kind] = found.ends.get(node.kind, 0.0) + here
            for answer, edge in node.edges.items():
                part = here * chance_of(plain, node, answer, at)
                found.edges[node_at, answer] = found.edges.get((node_at, answer), 0.0) + part
                if part:
                    key = (edge.to, been | places_of(plain, node))
                    waiting[key] = waiting.get(key, 0.0) + part
    return found


def places_of(plain, node):
    if node.kind == "check":
        place = plain.tree.checks[node.of].at
        return frozenset([place] if place else [])
    return plain.suspects[plain.place(node.of)].places if node.kind == "remedy" else frozenset()


def chance_of(plain, node, answer, at):
    """P(answer | suspect) at a node."""
    if node.kind == "remedy":
        cures = plain.suspects[at].cures if plain.suspects[at].id == node.of else 0.0
        return {"cured": cures, "not-cured": 1 - cures, "could-not": 0.0}[answer]
    check = plain.tree.checks[node.of]
    if answer == "not-sure":
        return check.not_sure
    return (1 - check.not_sure) * plain.rows[node.of][at][answer]


def _spend(found, plain, node, suspect, been, chance):
    tree = plain.tree
    refer_to = tree.referrals[tree.refer_to]
    what = []
    if node.kind == "check":
        what = [tree.checks[node.of]]
    elif node.kind == "remedy":
        what = [plain.suspects[plain.place(node.of)]]
        found.hands_on += chance * tree.cured_when.minutes
    elif node.kind in ("referral", "stop"):
        what = [tree.referrals[node.of]]
        if node.of != tree.refer_to and not (suspect.does == "refer" and suspect.target == node.of):
            what.append(refer_to)
    elif node.kind == "handover":
        found.hands_on += chance * HAND_OVER
        if not (suspect.does == "see" and suspect.target == node.of):
            what.append(refer_to)
    for each in what:
        found.hands_on += chance * each.minutes
        found.wait += chance * each.wait
        found.price += chance * each.price
    found.hands_on += chance * sum(tree.places[place].access for place in places_of(plain, node) - been)
