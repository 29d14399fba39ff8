"""Which fault is hidden, against plain sums over the route, and how often by what was missed."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from diagnose.practising.hiding import (
    LEVELS,
    Record,
    difficulty,
    fault_by_difficulty,
    fault_by_misses,
    fault_by_share,
    misled,
    place_of,
    rate_of_misses,
)
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.terms import Finding, Situation
from tests.practising.by_hand import route, stove
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


def plainly_misled(model, compiled, fault):
    """How often the share of a fault has fallen after two answers behind the dangers, walk by walk."""

    def from_here(at, situation, asked):
        node = compiled.nodes[at]
        if node.kind != "check" or asked == 2:
            return float(posterior(model, situation)[fault] < model.prior[fault] - 1e-12)
        check, found = model.tree.checks[node.of], 0.0
        for answer, edge in node.edges.items():
            likely = (
                check.not_sure
                if answer == "not-sure"
                else (1 - check.not_sure) * model.rows[node.of][fault][check.answer_ids().index(answer)]
            )
            if likely and compiled.nodes[edge.to].kind != "stop":
                known = {**situation.findings, node.of: Finding(node.of, answer)}
                found += likely * from_here(
                    edge.to, Situation(known), asked + (node.of not in model.tree.ask_first)
                )
        return found

    return from_here(compiled.start, Situation(), 0)


@pytest.mark.parametrize("number", [0, 9, 11])
def test_how_often_one_is_misled_first_is_what_walks_along_the_route_come_to(number):
    model = build_model(made_up(number), other_trees=OTHER_TREES) if number else stove()
    compiled = compile_route(model) if number else route()
    expected = [plainly_misled(model, compiled, fault) for fault in range(len(model.ids))]
    assert misled(model, compiled) == pytest.approx(expected, abs=1e-9)
    assert max(expected) > 0
    assert difficulty(model, compiled) == pytest.approx(
        cost_by_cause(compiled, model) * (1 + np.array(expected)), abs=1e-6
    )


def test_each_level_draws_from_its_own_third():
    model = stove()
    order = difficulty(model, route()).argsort().tolist()
    thirds = [order[:2], order[2:3], order[3:]]
    for level, third in zip(LEVELS, thirds, strict=True):
        assert {fault_by_difficulty(model, route(), seed, level) for seed in range(40)} == set(third)


def test_what_was_missed_comes_three_times_in_four_the_more_missed_the_more_often():
    model = stove()
    earlier = {"fuse-blown": Record(3, 3), "valve-shut": Record(5, 1), "bottle-empty": Record(9)}
    drawn = Counter(model.ids[fault_by_misses(model, seed, earlier)] for seed in range(3000))
    rates = {"fuse-blown": 3.5 / 4, "valve-shut": 1.5 / 6}
    assert {id: rate_of_misses(earlier[id]) for id in rates} == rates
    for id, share in zip(model.ids, model.prior, strict=True):
        expected = 0.75 * rates.get(id, 0) / sum(rates.values()) + 0.25 * share
        assert drawn[id] / 3000 == pytest.approx(expected, abs=5 * (0.25 / 3000) ** 0.5)
    nothing = Counter(
        model.ids[fault_by_misses(model, seed, {"fuse-blown": Record(4)})] for seed in range(2000)
    )
    for id, share in zip(model.ids, model.prior, strict=True):
        assert nothing[id] / 2000 == pytest.approx(share, abs=5 * (0.25 / 2000) ** 0.5)


def test_by_share_and_by_name():
    model = stove()
    drawn = Counter(fault_by_share(model, seed) for seed in range(2000))
    for at, share in enumerate(model.prior):
        assert drawn[at] / 2000 == pytest.approx(share, abs=5 * (0.25 / 2000) ** 0.5)
    assert [place_of(model.ids, word) for word in (model.ids[2], "no-such-fault")] == [2, None]
