"""The figures of docs/order-of-remedies.md. To write them anew: python -m tests.reasoning.order_figures"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import permutations
from pathlib import Path
from random import Random

import numpy as np

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.closing import best_closing
from diagnose.reasoning.model import build_model
from diagnose.reasoning.states import joined, state_of
from diagnose.terms import Situation
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, content_of, do, faults, gate
from tests.reasoning.made_up_trees import read
from tests.reasoning.orders import (
    Belief,
    Job,
    best_of_all,
    blind,
    in_bundles,
    of_best_prefix,
    one_by_one,
)
from tests.reasoning.plain_bayes import plainly

DOCUMENT = Path(__file__).resolve().parent.parent.parent / "docs" / "order-of-remedies.md"
TREES, BELIEFS = 80, 50
NEEDS = {"one place at most": False, "some need two places": True}
RULES = {"blind to the way": blind, "picked one by one": one_by_one, "bundles": in_bundles}
PROGRAM = "the program"
NOTHING = 1e-7
"""Per cent below which nothing is lost but figures at the end of a number."""


def tree_by_chance(seed, two):
    """Five to seven remedies, at up to three places or nowhere; with `two`, some need two of two or three."""
    rng = Random(seed)
    names = ["shed", "roof", "well"][: rng.choice([2, 3] if two else [0, 1, 2, 3])]
    number, pairs = rng.choice([5, 6, 7]), rng.choice([1, 2]) if two else 0

    def remedy(**at):
        return do(
            minutes=round(rng.uniform(2, 30), 1),
            cures=round(rng.uniform(0.4, 0.99), 2),
            price=rng.choice([0, 0, 5, 20]),
            **at,
        )

    inputs = {}
    for n in range(number - pairs):
        place = rng.choice([None, *names, *names])
        inputs[f"cause_{n}"] = cause(rng.randint(3, 30), remedy(**({"at": place} if place else {})))
    for n in range(pairs):
        one, other = rng.sample(names, 2)
        inputs[f"pair_{n}"] = gate(
            "all_of",
            rng.randint(3, 30),
            **{f"left_{n}": cause(None, remedy(at=one)), f"right_{n}": cause(None, remedy(at=other))},
        )
    places = {name: {"says": name, "access": round(rng.uniform(1, 30), 1)} for name in names}
    return read(content_of(faults(**inputs), places=places))


def belief_of(tree, suspects, shares):
    """The belief as jobs, from the tree's own figures: waiting at 0.05, money at 0.50 a minute."""
    referral = tree.referrals[tree.refer_to]
    return Belief(
        tuple(
            Job(
                each.minutes + 0.05 * each.wait + each.price / 0.5 + tree.cured_when.minutes,
                float(p) * each.cures,
                each.places,
            )
            for each, p in zip(suspects, shares, strict=True)
            if each.does == "do"
        ),
        {id: place.access for id, place in tree.places.items()},
        referral.minutes + 0.05 * referral.wait + referral.price / 0.5,
    )


def of_program(model, shares):
    """What the program's ending costs for each of several beliefs."""
    root = state_of(model, Situation())
    states = joined([root] * len(shares))
    states.weight[:] = shares
    return best_closing(model, states, allowed(model, states)).cost


def lost_on(seed, two, beliefs):
    """For each rule, per cent lost on the best of all, over some beliefs of one tree."""
    tree = tree_by_chance(seed, two)
    model = build_model(tree)
    shares = np.random.default_rng(seed).dirichlet(np.full(len(model.ids), 0.7), size=beliefs)
    suspects = plainly(tree).suspects
    problems = [belief_of(tree, suspects, each) for each in shares]
    best = np.array([best_of_all(each) for each in problems])
    costs = {
        name: np.array([of_best_prefix(each, rule(each)) for each in problems])
        for name, rule in RULES.items()
    }
    return {
        name: 100 * (cost / best - 1) for name, cost in {**costs, PROGRAM: of_program(model, shares)}.items()
    }


@dataclass(frozen=True)
class Lost:
    """Per cent lost on the best order of all."""

    median: float
    mean: float
    worst: float
    exact: float
    """Per cent of the beliefs at which nothing is lost."""


@cache
def measured(two, trees=TREES, beliefs=BELIEFS):
    """For each rule what it loses, over seeded trees and beliefs."""
    found = [lost_on(seed, two, beliefs) for seed in range(trees)]
    return {name: lost(np.concatenate([each[name] for each in found])) for name in found[0]}


def lost(per_cent):
    # Less than nothing cannot be lost: the best of all would not be the best.
    assert per_cent.min() > -NOTHING
    exact = 100 * np.mean(per_cent < NOTHING)
    return Lost(float(np.median(per_cent)), float(per_cent.mean()), float(per_cent.max()), float(exact))


WORKED = ("fuse", "pump", "pipe", "tank")
PAIR = Belief(
    (
        Job(5.0, 0.2, frozenset({"locker"})),
        Job(5.0, 0.2, frozenset({"roof"})),
        Job(5.0, 0.3, frozenset({"locker", "roof"})),
    ),
    {"locker": 10.0, "roof": 10.0},
    60.0,
)
"""A remedy in the locker, one on the roof, and one of two causes that needs both."""
PAIR_NAMES = ("locker", "roof", "both")


def worked():
    """The small tree of the tests with pipe and tank in the locker: model, and its belief as jobs."""
    tree = worked_tree(places=("pipe", "tank"))
    plain = plainly(tree)
    return build_model(tree), belief_of(tree, plain.suspects, plain.prior)


def best_order(belief):
    """An order that costs no more than any other: each is tried."""
    return min(permutations(range(len(belief.jobs))), key=lambda order: of_best_prefix(belief, order))


def table_of_orders(belief, names, rules):
    """The order that each rule comes to, and what it costs."""
    orders = {name: RULES[name](belief) for name in rules} | {"the best of all": best_order(belief)}
    lines = ["| rule | order | expected minutes |", "|---|---|--:|"]
    for name, order in orders.items():
        told = ", ".join(names[at] for at in order)
        lines.append(f"| {name} | {told} | {round(of_best_prefix(belief, order), 9):g} |")
    return "\n".join(lines) + "\n"


def table_of_losses():
    lines = [
        "| remedies | rule | lost in the median | on average | at worst | nothing lost |",
        "|---|---|--:|--:|--:|--:|",
    ]
    for needs, two in NEEDS.items():
        for name, each in measured(two).items():
            figures = [*(f"{f:.2f} %" for f in (each.median, each.mean, each.worst)), f"{each.exact:.1f} %"]
            lines.append(f"| {needs} | {name} | {' | '.join(figures)} |")
    return "\n".join(lines) + "\n"


def tables():
    """Each table of the document by its name, worked out now."""
    return {
        "locker": table_of_orders(worked()[1], WORKED, ["blind to the way", "picked one by one"]),
        "pair": table_of_orders(PAIR, PAIR_NAMES, ["bundles"]),
        "losses": table_of_losses(),
    }


def shown(name, text):
    """Where in the document's text the table of that name stands."""
    begin, end = f"<!-- {name} -->\n", f"<!-- end of {name} -->"
    start = text.index(begin) + len(begin)
    return slice(start, text.index(end, start))


def write():
    """Replace each table of the document by what is worked out now."""
    text = DOCUMENT.read_text(encoding="utf-8")
    for name, table in tables().items():
        place = shown(name, text)
        text = text[: place.start] + table + text[place.stop :]
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write()
    print(DOCUMENT.read_text(encoding="utf-8"))
