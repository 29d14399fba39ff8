"""The order of remedies where places take time to reach: the best of all, and what simpler rules lose.

Held against plain code that tries every order of every set of remedies. Sources, from memory: Kalagnanam &
Henrion 1990 for the rule of ratios; Horn 1972 for jobs behind others. The figures of
docs/order-of-remedies.md are worked out anew.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.bounds import free_answers, perfect_information
from diagnose.reasoning.closing import best_closing, is_best_of_all
from diagnose.reasoning.exact import exact_plan
from diagnose.reasoning.model import build_model
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.by_hand import cause, check, content_of, do, faults, gate
from tests.reasoning.made_up_trees import read
from tests.reasoning.order_figures import (
    DOCUMENT,
    NEEDS,
    NOTHING,
    PAIR,
    PROGRAM,
    belief_of,
    lost_on,
    measured,
    of_program,
    shown,
    tables,
    tree_by_chance,
    worked,
)
from tests.reasoning.orders import (
    best_of_all,
    best_one_after_another,
    blind,
    cost_of,
    in_bundles,
    of_best_prefix,
    one_by_one,
)
from tests.reasoning.plain_bayes import plainly

SEVERAL = pytest.mark.parametrize("two", NEEDS.values(), ids=NEEDS)


def of_all_orders(tree, shares):
    """The least cost for each of several beliefs, by plain code."""
    suspects = plainly(tree).suspects
    return [best_of_all(belief_of(tree, suspects, each)) for each in shares]


def shares_by_chance(model, seed, number):
    return np.random.default_rng(seed).dirichlet(np.full(len(model.ids), 0.7), size=number)


def needing(*pairs, access, checks=None):
    """A tree with a remedy at each place, and one more for each set of places that it needs together."""
    inputs = {f"at_{place}": cause(9, do(minutes=4 + n, at=place)) for n, place in enumerate(access)}
    for n, places in enumerate(pairs):
        parts = {f"part_{n}_{at}": cause(None, do(minutes=3, cures=0.9, at=at)) for at in places}
        inputs[f"joint_{n}"] = gate("all_of", 12, **parts)
    places = {place: {"says": place, "access": minutes} for place, minutes in access.items()}
    return read(content_of(faults(**inputs), checks, places=places))


@SEVERAL
@pytest.mark.parametrize("seed", range(6))
def test_going_through_sets_gives_the_best_of_all_orders_written_out(seed, two):
    tree = tree_by_chance(seed, two)
    model, suspects = build_model(tree), plainly(tree).suspects
    for shares in shares_by_chance(model, seed, 2):
        belief = belief_of(tree, suspects, shares)
        few = type(belief)(belief.jobs[-5:], belief.access, belief.referral)
        assert best_of_all(few) == pytest.approx(best_one_after_another(few), rel=1e-12)


@SEVERAL
def test_the_program_loses_nothing_on_the_best_order_of_all(two):
    for seed in range(100, 130):
        found = lost_on(seed, two, 20)[PROGRAM]
        assert np.abs(found).max() < NOTHING


TANGLES = {
    "three places at once": needing("abc", access={"a": 4, "b": 11, "c": 18}),
    "two pairs apart": needing("ab", "cd", access={"a": 4, "b": 11, "c": 18, "d": 7}),
    "a string of pairs": needing("ab", "bc", "cd", access={"a": 4, "b": 11, "c": 18, "d": 7}),
    "a pair beside a place": needing("ab", access={"a": 20, "b": 20, "c": 20}),
}


@pytest.mark.parametrize("name", TANGLES)
def test_places_that_hang_together_in_any_way_are_reached_in_the_best_order(name):
    model = build_model(TANGLES[name])
    assert is_best_of_all(model)
    shares = shares_by_chance(model, 5, 60)
    assert of_program(model, shares) == pytest.approx(of_all_orders(model.tree, shares), rel=1e-9)


def test_bundles_of_equal_ratio_are_not_mixed():
    """Two places alike in all: going to and fro between them would pay for both before one is done with."""
    alike = [do(minutes=5), do(minutes=12)]
    inputs = {
        f"{place}_{n}": cause(20, {**each, "at": place}) for place in "ab" for n, each in enumerate(alike)
    }
    places = {place: {"says": place, "access": 30} for place in "ab"}
    model = build_model(read(content_of(faults(**inputs), places=places)))
    shares = np.array([[0.24, 0.24, 0.24, 0.24, 0.04]])
    assert of_program(model, shares) == pytest.approx(of_all_orders(model.tree, shares), rel=1e-12)


def test_where_too_many_places_hang_together_an_ending_is_still_one_that_can_be_had():
    access = dict(zip("abcde", (4, 11, 18, 7, 9), strict=True))
    model = build_model(needing("ab", "bc", "cd", "de", access=access))
    assert not is_best_of_all(model)
    root = state_of(model, Situation())
    assert free_answers(model, root) == 0.0
    shares = shares_by_chance(model, 5, 20)
    lost = of_program(model, shares) / np.array(of_all_orders(model.tree, shares)) - 1
    assert lost.min() > -1e-12
    assert lost.max() > 1e-6


@pytest.mark.parametrize("seed", range(20))
def test_free_answers_bound_the_optimum_where_remedies_need_two_places(seed):
    rng = np.random.default_rng(seed)
    access = {"a": float(rng.integers(1, 30)), "b": float(rng.integers(1, 30))}
    checks = {
        f"look-{n}": check(
            minutes=float(rng.integers(1, 9)),
            at=str(rng.choice(["a", "b"])),
            expect={
                name: {"one": round(float(rng.uniform(0.02, 0.98)), 3)}
                for name in ("at-a", "at-b", "joint-0")
            },
        )
        for n in range(3)
    }
    model = build_model(needing("ab", access=access, checks=checks))
    root = state_of(model, Situation())
    root.weight[:] = rng.dirichlet(np.ones(len(model.ids)))
    best, free = exact_plan(model, root).cost, free_answers(model, root)
    assert perfect_information(model, root) * (1 - 1e-9) <= free <= best * (1 + 1e-9)
    assert free > 0.6 * best


def test_a_place_that_was_reached_costs_nothing_more_in_any_order_of_places():
    model = build_model(TANGLES["two pairs apart"])
    root = state_of(model, Situation())
    everywhere = type(root)(
        **{name: getattr(root, name) for name in root.__slots__} | {"reached": root.reached | 15}
    )
    plain = plainly(model.tree)
    belief = belief_of(model.tree, plain.suspects, plain.prior)
    near = type(belief)(belief.jobs, dict.fromkeys(belief.access, 0.0), belief.referral)
    found = best_closing(model, everywhere, allowed(model, everywhere))
    assert found.cost[0] == pytest.approx(best_of_all(near), rel=1e-9)
    assert found.cost[0] == pytest.approx(of_best_prefix(near, blind(near)), rel=1e-9)


# The document ---------------------------------------------------------------------------------------------


def figures_in(name):
    text = DOCUMENT.read_text(encoding="utf-8")
    return text[shown(name, text)]


def test_the_worked_example_costs_what_the_document_says():
    """Worked by hand: minutes, each times the share that is still without a cure."""
    model, belief = worked()
    # 8 + .6 x 30 + .375 x 29 + .275 x 20 + .075 x 120, and so on.
    by_hand = {
        (0, 1, 3, 2): 8 + 0.6 * 30 + 0.375 * (25 + 4) + 0.275 * 20 + 0.075 * 120,
        (0, 1, 2, 3): 8 + 0.6 * 30 + 0.375 * (25 + 20) + 0.175 * 4 + 0.075 * 120,
        (0, 3, 2, 1): 8 + 0.6 * (25 + 4) + 0.5 * 20 + 0.3 * 30 + 0.075 * 120,
    }
    for order, minutes in by_hand.items():
        assert cost_of(belief, order) == pytest.approx(minutes, abs=1e-9)
        assert f"| {minutes:g} |" in figures_in("locker")
    assert tuple(blind(belief)) == (0, 3, 2, 1)
    assert tuple(one_by_one(belief)) == (0, 1, 2, 3)
    assert tuple(in_bundles(belief)) == (0, 1, 3, 2)
    assert best_one_after_another(belief) == pytest.approx(min(by_hand.values()), abs=1e-9)
    assert of_program(model, model.prior[None, :])[0] == pytest.approx(min(by_hand.values()), abs=1e-9)


def test_the_pair_of_places_costs_what_the_document_says():
    # Locker, roof, both: 15, then .8 x 15, then .6 x 5; the workshop for .3. Or both before the roof.
    bundled, best = 15 + 0.8 * 15 + 0.6 * 5 + 0.3 * 60, 15 + 0.8 * 15 + 0.5 * 5 + 0.3 * 60
    assert of_best_prefix(PAIR, in_bundles(PAIR)) == pytest.approx(bundled, abs=1e-9)
    assert best_one_after_another(PAIR) == pytest.approx(best, abs=1e-9)
    assert f"| {bundled:g} |" in figures_in("pair")
    assert f"| {best:g} |" in figures_in("pair")


def losses():
    """The document's table: (needs, rule) -> median, mean, worst, share exact."""
    rows = re.findall(
        r"^\| ([^|]+?) \| ([^|]+?) \| ((?:[0-9.]+ %(?: \| )?){4}) \|$", figures_in("losses"), re.M
    )
    return {
        (needs, rule): [float(each) for each in re.findall(r"[0-9.]+", told)] for needs, rule, told in rows
    }


@pytest.mark.parametrize("needs", NEEDS)
def test_the_document_tells_what_each_rule_loses(needs):
    """On some of the document's own beliefs: no worse than its worst, and about as often the best."""
    told = losses()
    for rule, found in measured(NEEDS[needs], trees=24, beliefs=12).items():
        median, mean, worst, exact = told[needs, rule]
        assert found.worst <= worst + 0.005
        assert found.median == pytest.approx(median, abs=0.02)
        assert found.mean == pytest.approx(mean, abs=0.3)
        assert found.exact == pytest.approx(exact, abs=15)
    assert told[needs, PROGRAM] == [0.0, 0.0, 0.0, 100.0]


@pytest.mark.long
def test_the_document_is_what_is_worked_out_now():
    for name, table in tables().items():
        assert figures_in(name) == table
