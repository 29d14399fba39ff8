"""What holds of every plan and route of made-up trees, whatever the tree.

Method of the cost: an expected value is a sum over nodes of how often each is come by, times what it costs
there (linearity of expectation); nothing of the package's own figures is used to work it out.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.exact import exact_plan, table_size
from diagnose.reasoning.figures import figures
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import RULES, prove
from diagnose.reasoning.states import state_of
from diagnose.terms import Situation
from tests.reasoning.exhaustive import HAND_OVER, MONEY_PER_MINUTE, WAIT_RATE
from tests.reasoning.made_up_trees import OTHER_TREES, made_up, read, with_one_check_more
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.route_by_hand import follow

SEEDS = st.integers(0, 100_000)
ROLES = st.sampled_from(["owner", "technician"])
MOST_STATES = 60_000
FEW, MANY = 25, 150


# A further check ------------------------------------------------------------------------------------------


def least_cost(tree, role):
    """Expected minutes of the exact plan; trees too large for a quick one are passed over."""
    model = build_model(tree, role, other_trees=OTHER_TREES)
    root = state_of(model, Situation())
    assume(table_size(model, root) <= MOST_STATES)
    return exact_plan(model, root).cost


SHAPES = st.sampled_from(["", "led"])
"""Any tree, or one that gas or the mains lead."""


def check_further(seed, shape, role):
    content, more = with_one_check_more(seed, shape)
    assert least_cost(read(more), role) <= least_cost(read(content), role) * (1 + 1e-9)


@settings(max_examples=FEW)
@given(SEEDS, SHAPES, ROLES)
def test_a_further_check_that_is_not_asked_first_never_raises_the_expected_minutes(seed, shape, role):
    """Under gas and the mains, too.

    Whoever never asks it may do all that was allowed before: a check that is left over can only lift the
    order to refer at once (rule 3), never bring it about, and no other rule looks at it.
    """
    check_further(seed, shape, role)


@pytest.mark.long
@settings(max_examples=MANY)
@given(SEEDS, SHAPES, ROLES)
def test_nor_does_it_on_very_many_more(seed, shape, role):
    check_further(seed, shape, role)


def test_some_further_checks_do_lower_the_expected_minutes():
    """Else the test above would prove nothing."""
    lower = 0
    for seed in range(30):
        content, more = with_one_check_more(seed)
        models = [build_model(read(each), other_trees=OTHER_TREES) for each in (content, more)]
        roots = [state_of(each, Situation()) for each in models]
        if max(map(table_size, models, roots)) <= MOST_STATES:
            before, after = (exact_plan(*each).cost for each in zip(models, roots, strict=True))
            lower += after < before * (1 - 1e-6)
    assert lower >= 3


# Cost and proof -------------------------------------------------------------------------------------------


def routed(tree, role):
    model = build_model(tree, role, other_trees=OTHER_TREES)
    root = state_of(model, Situation())
    assume(table_size(model, root) <= MOST_STATES)
    route = compile_route(model)
    return model, route, route_graph(route, model)


def without_places(tree):
    """The same tree with everything within reach."""
    checks = {id: replace(check, at=None) for id, check in tree.checks.items()}
    events = {
        id: replace(event, remedy=replace(event.remedy, at=None)) if event.remedy else event
        for id, event in tree.events.items()
    }
    return replace(tree, checks=checks, events=events)


def minutes_of(what):
    return what.minutes + what.wait * WAIT_RATE + what.price / MONEY_PER_MINUTE


def cost_read_off(graph, tree):
    """Each node's chance times what it costs there, from the graph's own attributes and the tree."""
    refer_to = tree.referrals[tree.refer_to]
    cost = 0.0
    for _, node in graph.nodes(data=True):
        shares = {line["cause"]: line["share"] for line in node["ranking"]}
        remedies = {
            id: [tree.events[cause].remedy for cause in id.split("+") if cause in tree.events]
            for id in shares
        }
        here = 0.0
        if node["kind"] == "check":
            here = minutes_of(tree.checks[node["of"]])
        elif node["kind"] == "remedy":
            here = sum(minutes_of(each) for each in remedies[node["of"]]) + tree.cured_when.minutes
        elif node["kind"] in ("referral", "stop"):
            here = minutes_of(tree.referrals[node["of"]])
            if node["of"] != tree.refer_to:
                here += minutes_of(refer_to) * sum(
                    share for id, share in shares.items() if not refers(remedies[id], node["of"])
                )
        elif node["kind"] == "handover":
            ours = [
                id
                for id in shares
                if [(each.kind, each.text) for each in remedies[id]] == [("see", node["of"])]
            ]
            here = HAND_OVER + minutes_of(refer_to) * (1 - max(shares[id] for id in ours))
        cost += node["probability"] * here
    return cost


def refers(remedies, to):
    """Whether a cut set's remedies come to that referral."""
    return any(each.kind == "refer" and each.text == to for each in remedies)


def as_route(graph):
    """What can be followed, from the graph alone."""
    nodes = []
    for at in sorted(graph):
        out = graph.out_edges(at, keys=True)
        edges = {answer: SimpleNamespace(to=to) for _, to, answer in out}
        nodes.append(SimpleNamespace(kind=graph.nodes[at]["kind"], of=graph.nodes[at]["of"], edges=edges))
    return SimpleNamespace(nodes=nodes, start=graph.graph["start"])


def check_cost(seed, role):
    tree = made_up(seed)
    model, route, graph = routed(tree, role)
    told = figures(route, model).expected.cost
    assert follow(as_route(graph), plainly(tree, role)).cost() == pytest.approx(told, rel=1e-9)
    bare = without_places(tree)
    model, route, graph = routed(bare, role)
    assert cost_read_off(graph, bare) == pytest.approx(figures(route, model).expected.cost, rel=1e-9)
    for at in graph:
        coming = [
            graph.nodes[before]["probability"] * chance
            for before, _, chance in graph.in_edges(at, data="probability")
        ]
        expected = sum(coming) if at != graph.graph["start"] else 1
        assert graph.nodes[at]["probability"] == pytest.approx(expected, abs=1e-9)


@settings(max_examples=FEW)
@given(SEEDS, ROLES)
def test_the_cost_read_off_the_graph_is_the_reported_one(seed, role):
    """With places the way depends on where one has been, so each cause is followed along its edges."""
    check_cost(seed, role)


@pytest.mark.long
@settings(max_examples=MANY)
@given(SEEDS, ROLES)
def test_it_is_so_on_very_many_more(seed, role):
    check_cost(seed, role)


def check_proof(seed, role):
    model, _, graph = routed(made_up(seed), role)
    assert prove(graph, model) == RULES


@settings(max_examples=FEW)
@given(SEEDS, ROLES)
def test_the_proof_holds_on_every_generated_tree(seed, role):
    check_proof(seed, role)


@pytest.mark.long
@settings(max_examples=MANY)
@given(SEEDS, ROLES)
def test_the_proof_holds_on_very_many_more(seed, role):
    check_proof(seed, role)
