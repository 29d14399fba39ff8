"""How the cases of every shipped tree end, cause by cause, by the tree's own figures.

The bounds are those that the project has set itself: at most 3 % of an owner's cases end without a cure, a
stop or a right referral, and under 10 % of what an owner could cure is handed on untried. docs/trees.md shows
each tree's figures.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from diagnose.reasoning.ranking import posterior
from diagnose.terms import Finding, Situation
from tests.trees.ends import ends_of, leading_findings, separates
from tests.trees.shipped import EVERY_TREE, SOME_QUICKLY, TREES, model_of, route_of, tree_of

every_tree = pytest.mark.parametrize("id", EVERY_TREE)
every_route = pytest.mark.parametrize("id", SOME_QUICKLY)


@every_route
def test_few_cases_end_without_a_cure_or_a_right_referral(id):
    ends = ends_of(model_of(id), route_of(id))
    every = ends.cured + ends.stopped + ends.given_up + ends.astray + ends.handed_on
    np.testing.assert_allclose(every, model_of(id).prior, atol=1e-9)
    assert ends.wrong <= 0.03
    assert ends.referred_of_curable < 0.1


@every_tree
def test_every_cause_leads_for_some_findings(id):
    """Alone, or among those for which the very same would be done."""
    model = model_of(id)
    for each in model.hypotheses:
        share = leading_findings(model, each.id)
        leader = model.hypotheses[int(share.argmax())]
        same = (leader.ending, leader.target) == (each.ending, each.target) and each.ending != "do"
        assert leader.id == each.id or same, (each.id, leader.id)


@every_tree
def test_every_check_tells_something(id):
    model = model_of(id, "technician")
    asked = [table.check.id for table in model.checks if not table.first]
    assert [check for check in asked if separates(model, check) < 0.1] == []


@pytest.mark.long
@every_tree
def test_every_remedy_is_walked_by_somebody(id):
    walked = {
        node.of
        for role in ("owner", "technician")
        for node in route_of(id, role).nodes
        if node.kind == "remedy" and node.probability > 0
    }
    assert set(model_of(id, "technician").remedy_index) <= walked


@pytest.mark.parametrize("id", TREES)
def test_the_passes_end_as_simulated_cases_do(id):
    """2,000 cases drawn and walked answer by answer, against the chances followed at once."""
    model, route, rng = model_of(id), route_of(id), Random(id)
    cured = stopped = 0
    for _ in range(2000):
        truth = rng.choices(range(len(model.ids)), model.prior)[0]
        node = route.nodes[route.start]
        while node.kind in ("check", "remedy"):
            node = route.nodes[node.edges[_answer(model, node, truth, rng)].to]
        cured += node.kind == "cured"
        stopped += node.kind == "stop"
    ends = ends_of(model, route)
    for seen, expected in ((cured, ends.cured.sum()), (stopped, ends.stopped.sum())):
        assert abs(seen / 2000 - expected) <= 4 * (expected * (1 - expected) / 2000) ** 0.5


def _answer(model, node, truth, rng):
    if node.kind == "remedy":
        table = model.remedies[model.remedy_index[node.of]]
        return "cured" if table.hypothesis == truth and rng.random() < table.cures else "not-cured"
    table = model.checks[model.check_index[node.of]]
    if rng.random() < table.check.not_sure:
        return "not-sure"
    return rng.choices(table.check.answer_ids(), table.rows[truth])[0]


@every_tree
def test_findings_that_lead_to_a_cause_rank_it_in_the_walk_too(id):
    """The shares that were looked at above are those that the ranking gives for the same findings."""
    model = model_of(id)
    cause = model.ids[int(np.argmax(model.prior))]
    at = model.index[cause]
    others = np.delete(np.arange(len(model.ids)), at)
    findings = {}
    for check, rows in model.rows.items():
        best = int(np.argmax(rows[at] / np.maximum(model.prior[others] @ rows[others], 1e-12)))
        findings[check] = Finding(check, tree_of(id).checks[check].answer_ids()[best])
    shares = posterior(model, Situation(findings))
    np.testing.assert_allclose(shares, leading_findings(model, cause), atol=1e-9)
