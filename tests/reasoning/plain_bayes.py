"""What may be wrong and what the findings say of it, once more and as plainly as possible.

Written from the rules alone, in Python's own numbers and for small trees only, so that the package has
something to be held against. It takes a tree as the loader gives it and nothing else of the package.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations
from math import prod

from scipy import stats

NOT_LISTED = "not-listed"


@dataclass(frozen=True)
class Suspect:
    """One minimal cut set, or what is not listed."""

    id: str
    causes: tuple[str, ...]
    in_100: float
    hazards: frozenset = frozenset()
    does: str = "nothing"
    """`do`, `refer`, `see`, or `nothing` where only `refer_to` serves."""
    target: str = ""
    minutes: float = 0.0
    wait: float = 0.0
    price: float = 0.0
    places: frozenset = frozenset()
    cures: float = 1.0
    hands: frozenset = frozenset()
    restores: bool = False


@dataclass(frozen=True)
class Plain:
    """A tree for one role: suspects, their shares, and what each leads one to see."""

    tree: object
    role: str
    suspects: tuple[Suspect, ...]
    prior: tuple[float, ...]
    rows: dict = field(default_factory=dict)
    """Check -> for each suspect: answer -> chance."""

    def place(self, id: str) -> int:
        return [each.id for each in self.suspects].index(id)


def holds(tree, event, present):
    """Whether an event comes about when just these causes are present."""
    gate, inputs = tree.events[event].gate, tree.events[event].inputs
    if gate is None:
        return event in present
    join = any if gate == "any_of" else all
    return join(holds(tree, each, present) for each in inputs)


def cut_sets(tree, event):
    """Minimal cut sets by the truth table over all causes, as frozensets."""
    causes = [id for id, each in tree.events.items() if each.gate is None]
    found = []
    for size in range(1, len(causes) + 1):
        for some in combinations(causes, size):
            if holds(tree, event, some) and not any(each <= set(some) for each in found):
                found.append(frozenset(some))
    return found


def ancestors(tree, event):
    """Every event above an event, at any place, the top left out."""
    above = {id for id, each in tree.events.items() if event in each.inputs}
    return {id for id in above if id}.union(*(ancestors(tree, id) for id in above if id))


def in_100(tree, causes):
    """The share of one cut set before it is set against the others."""
    tops = cut_sets(tree, "")
    ruling = [
        id
        for id, each in tree.events.items()
        if each.gate == "all_of" and each.in_100 is not None and frozenset(causes) in cut_sets(tree, id)
    ]
    outermost = [id for id in ruling if not ancestors(tree, id) & set(ruling)]
    if not outermost:
        return 100 * prod(tree.events[cause].in_100 / 100 for cause in causes)

    def chance(some):
        return prod(tree.events[c].in_100 / 100 for c in some if tree.events[c].in_100 is not None)

    together = [each for each in cut_sets(tree, outermost[0]) if each in tops]
    return tree.events[outermost[0]].in_100 * chance(causes) / sum(chance(each) for each in together)


def suspects(tree, role):
    """The cut sets in file order, `not-listed` last."""
    order = [id for id, each in tree.events.items() if each.gate is None]
    sets = sorted(sorted(order.index(cause) for cause in each) for each in cut_sets(tree, ""))
    listed = [suspect(tree, tuple(order[at] for at in each), role) for each in sets]
    return (*listed, Suspect(NOT_LISTED, (), tree.not_listed))


def suspect(tree, causes, role):
    remedies = [tree.events[cause].remedy for cause in causes]
    common = {
        "id": "+".join(causes),
        "causes": causes,
        "in_100": in_100(tree, causes),
        "hazards": frozenset().union(*(tree.events[cause].hazards for cause in causes)),
    }
    referred = {each.text for each in remedies if each.kind == "refer"}
    if referred:
        (target,) = referred
        return Suspect(**common, does="refer", target=target)
    if remedies[0].kind == "see" and len(remedies) == 1:
        return Suspect(**common, does="see", target=remedies[0].text)
    if any(each.kind == "see" or (role == "owner" and each.by != "owner") for each in remedies):
        return Suspect(**common)
    return Suspect(
        **common,
        does="do",
        minutes=sum(each.minutes for each in remedies),
        wait=sum(each.wait for each in remedies),
        price=sum(each.price for each in remedies),
        places=frozenset(each.at for each in remedies if each.at),
        cures=1 - prod(1 - each.cures for each in remedies),
        hands=frozenset(each.hands for each in remedies),
        restores=any(each.restores_mains for each in remedies),
    )


def whole_row(entry, answers):
    """An entry of `expect` over all answers."""
    if entry is None:
        return {answer: 1 / len(answers) for answer in answers}
    unnamed = [answer for answer in answers if answer not in entry]
    if not unnamed:
        return {answer: entry[answer] / sum(entry.values()) for answer in answers}
    return {answer: entry.get(answer, (1 - sum(entry.values())) / len(unnamed)) for answer in answers}


def row(tree, check, causes):
    """What a check shows if just these causes are present."""
    answers = [each.id for each in check.answers]
    if len(causes) == 1:
        for event in (causes[0], *tree.events[causes[0]].chain):
            if event in check.expect:
                return whole_row(check.expect[event], answers)
        return whole_row(check.expect.get("otherwise"), answers)
    shared = [
        event
        for event in tree.events[causes[0]].chain
        if tree.events[event].gate == "all_of" and all(event in tree.events[c].chain for c in causes)
    ]
    if shared:
        for event in (shared[0], *tree.events[shared[0]].chain):
            if event in check.expect:
                return whole_row(check.expect[event], answers)
    rows = [row(tree, check, (cause,)) for cause in causes]
    return {answer: sum(each[answer] for each in rows) / len(rows) for answer in answers}


def table(tree, check, listed):
    """A row for each suspect; what is not listed shows anything, unless all show the same."""
    rows = [row(tree, check, each.causes) for each in listed if each.causes]
    same = all(abs(each[a] - rows[0][a]) < 1e-12 for each in rows for a in each)
    return [*rows, rows[0] if same else whole_row(None, [each.id for each in check.answers])]


def plainly(tree, role="owner"):
    """A tree for one role, without any case."""
    listed = suspects(tree, role)
    total = sum(each.in_100 for each in listed)
    return Plain(
        tree,
        role,
        listed,
        tuple(each.in_100 / total for each in listed),
        {check.id: table(tree, check, listed) for check in tree.checks.values()},
    )


def reading_likelihood(check, chances, value, uncertainty):
    """Virtual evidence: the chance of the reading in each band, weighed by the chance of the band."""
    total = 0.0
    for band in check.bands:
        if uncertainty == 0:
            last = value == check.reading.high == band.high
            share = 1.0 if band.low <= value < band.high or last else 0.0
        else:
            normal = stats.norm(value, uncertainty)
            share = normal.cdf(band.high) - normal.cdf(band.low)
        total += chances[band.id] * share / (band.high - band.low)
    return total


def belief(plain, situation):
    """Bayes' rule over the suspects, one finding after the other."""
    weights = list(plain.prior)
    for finding in situation.findings.values():
        check = plain.tree.checks[finding.check]
        if finding.answer == "not-sure":
            continue
        for at, chances in enumerate(plain.rows[check.id]):
            if finding.value is not None:
                given = check.reading.uncertainty if finding.uncertainty is None else finding.uncertainty
                weights[at] *= reading_likelihood(check, chances, finding.value, given)
            else:
                weights[at] *= chances[finding.answer]
    for id, what in situation.tried.items():
        if what == "not-cured":
            weights[plain.place(id)] *= 1 - plain.suspects[plain.place(id)].cures
    if sum(weights) == 0:
        return [0.0] * (len(weights) - 1) + [1.0]
    return [each / sum(weights) for each in weights]
