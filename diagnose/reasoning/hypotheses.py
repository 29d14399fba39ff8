"""What may be wrong: each minimal cut set of a tree as one hypothesis, and `not-listed` behind them all.

Just one hypothesis is taken to be present at a time. A cut set of several causes is put right by putting
right all of them, so costs add and chances of a cure join as 1 - prod(1 - cures); a referral among them
makes the whole a referral. A step that is not for the person at hand (`by: technician` on an owner's walk,
or one that needs what this person cannot do) is no step.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from math import prod
from typing import Literal

from diagnose.knowledge.cut_sets import minimal_cut_sets
from diagnose.terms import NOT_LISTED, Event, Hands, Remedy, Role, Tree

Ending = Literal["do", "refer", "see", "none"]
_HANDS: tuple[Hands, ...] = ("look", "controls", "tools")


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that may be wrong, and what would be done about it by this person."""

    id: str
    causes: tuple[str, ...]
    says: str
    in_100: float
    hazards: frozenset[str] = frozenset()
    """Those of its causes."""
    step_hazards: frozenset[str] = frozenset()
    """Those of its remedy: of its causes and the remedies' own."""
    ending: Ending = "none"
    """`do` if this person may try it, `refer` or `see`, `none` if only `refer_to` serves it."""
    target: str = ""
    """The referral of a `refer`, the other tree of a `see`."""
    hands: Hands = "look"
    minutes: float = 0.0
    wait: float = 0.0
    price: float = 0.0
    places: tuple[str, ...] = ()
    cures: float = 1.0
    restores_mains: bool = False


def hypotheses(tree: Tree, role: Role, cannot: Set[str] = frozenset()) -> tuple[Hypothesis, ...]:
    """The hypotheses of a tree in the order of its cut sets, `not-listed` last.

    `cannot` holds what this person cannot do, in the words of `needs`.
    """
    shares = cut_set_in_100(tree)
    listed = tuple(_hypothesis(tree, causes, shares[causes], role, cannot) for causes in tree.cut_sets)
    hidden = Hypothesis(NOT_LISTED, (), "Something that is not listed here", tree.not_listed)
    return (*listed, hidden)


def cut_set_in_100(tree: Tree) -> dict[tuple[str, ...], float]:
    """Of 100 vehicles with this symptom, how many turn out to have each cut set.

    The outermost `all_of` event that has an `in_100` and of which the set is a cut set rules; it is shared
    among its cut sets by the products of their causes' chances (a cause without a share counts equal).
    Without such an event it is the product of the causes' shares taken as chances, times 100.
    """
    shares: dict[tuple[str, ...], float] = {}
    for event in _ruling_events(tree):
        gates = {id: (each.gate, each.inputs) for id, each in tree.events.items()}
        own = [s for s in minimal_cut_sets(gates, event.id, tuple(tree.events)) if s in set(tree.cut_sets)]
        chances = [prod((tree.events[cause].in_100 or 100.0) / 100 for cause in causes) for causes in own]
        for causes, chance in zip(own, chances, strict=True):
            shares.setdefault(causes, (event.in_100 or 0.0) * chance / sum(chances))
    for causes in tree.cut_sets:
        if causes not in shares:
            shares[causes] = 100 * prod((tree.events[cause].in_100 or 0.0) / 100 for cause in causes)
    return shares


def _ruling_events(tree: Tree) -> list[Event]:
    """The `all_of` events with a share, outermost first."""
    ruling = [e for e in tree.events.values() if e.gate == "all_of" and e.in_100 is not None]
    return sorted(ruling, key=lambda event: len(event.above))


def _hypothesis(
    tree: Tree, causes: tuple[str, ...], in_100: float, role: Role, cannot: Set[str]
) -> Hypothesis:
    events = [tree.events[cause] for cause in causes]
    remedies = [event.remedy for event in events if event.remedy is not None]
    ending, target = _ending(remedies, role, cannot)
    # Kept for somebody else's remedies too: they may have been tried before.
    done = remedies if all(remedy.kind == "do" for remedy in remedies) else []
    return Hypothesis(
        id="+".join(causes),
        causes=causes,
        says=" and ".join(event.says for event in events),
        in_100=in_100,
        hazards=frozenset().union(*(event.hazards for event in events)),
        step_hazards=frozenset().union(*(e.hazards for e in events), *(r.hazards for r in remedies)),
        ending=ending,
        target=target,
        hands=max((r.hands for r in done), key=_HANDS.index, default="look"),
        minutes=sum(r.minutes for r in done),
        wait=sum(r.wait for r in done),
        price=sum(r.price for r in done),
        places=tuple(dict.fromkeys(r.at for r in done if r.at is not None)),
        cures=1 - prod(1 - r.cures for r in done) if done else 1.0,
        restores_mains=any(r.restores_mains for r in done),
    )


def _ending(remedies: list[Remedy], role: Role, cannot: Set[str]) -> tuple[Ending, str]:
    referrals = {remedy.text for remedy in remedies if remedy.kind == "refer"}
    if referrals:
        # Two different referrals within one set: neither serves it alone, so `refer_to` must.
        return ("refer", referrals.pop()) if len(referrals) == 1 else ("none", "")
    if any(remedy.kind == "see" for remedy in remedies):
        return ("see", remedies[0].text) if len(remedies) == 1 else ("none", "")
    if role == "owner" and any(remedy.by != "owner" for remedy in remedies):
        return "none", ""
    if any(not cannot.isdisjoint(remedy.needs) for remedy in remedies):
        return "none", ""
    return "do", ""
