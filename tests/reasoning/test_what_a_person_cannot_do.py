"""Steps that a person cannot do are planned as steps of somebody else: never offered, and proved absent.

The check from outside the code under test: a step that somebody cannot do is to be planned just as the same
step marked as a technician's is planned for an owner, which is tested against exhaustive planning elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.fields import NEEDS
from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.planning import next_step
from diagnose.reasoning.proof import RULES, UnsafeRoute, prove
from diagnose.reasoning.route import route_to_json
from diagnose.terms import Situation, Step
from diagnose.walking.shelf import route_digest
from tests.reasoning.made_up_trees import OTHER_TREES, made_up

SHIPPED = ("water-pump", "engine-no-crank", "heater-no-fire")
SEEDS = range(12)


def with_needs(seed):
    """A made-up tree whose checks and remedies need this and that of the body."""
    tree, chance = made_up(seed), Random(seed)

    def some():
        return tuple(need for need in NEEDS if chance.random() < 0.2)

    checks = {id: replace(check, needs=some()) for id, check in tree.checks.items()}
    events = {
        id: replace(event, remedy=event.remedy and replace(event.remedy, needs=some()))
        for id, event in tree.events.items()
    }
    return replace(tree, checks=checks, events=events)


def as_a_technicians(tree, cannot):
    """The same tree, in which whatever needs one of these is marked as a technician's work."""

    def marked(step):
        return replace(step, by="technician") if step and cannot.intersection(step.needs) else step

    checks = {id: each if id in tree.ask_first else marked(each) for id, each in tree.checks.items()}
    events = {id: replace(each, remedy=marked(each.remedy)) for id, each in tree.events.items()}
    return replace(tree, checks=checks, events=events)


def needed(tree, node):
    if node["kind"] == "check" and node["of"] not in tree.ask_first:
        return set(tree.checks[node["of"]].needs)
    if node["kind"] == "remedy":
        return {need for cause in node["of"].split("+") for need in tree.events[cause].remedy.needs}
    return set()


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("cannot", [{"kneel"}, {"smell", "lift"}, set(NEEDS)])
def test_a_route_is_that_of_a_tree_in_which_those_steps_are_a_technicians(seed, cannot):
    tree = with_needs(seed)
    model = build_model(tree, "owner", other_trees=OTHER_TREES, cannot=cannot)
    route = compile_route(model)
    other = build_model(as_a_technicians(tree, cannot), "owner", other_trees=OTHER_TREES)
    assert route_to_json(route) == route_to_json(compile_route(other))
    graph = route_graph(route, model)
    assert prove(graph, model) == RULES
    assert not any(cannot & needed(tree, node) for _, node in graph.nodes(data=True))


@pytest.mark.parametrize("id", SHIPPED)
@pytest.mark.parametrize("role", ["owner", pytest.param("technician", marks=pytest.mark.long)])
def test_no_route_of_a_shipped_tree_offers_what_needs_what_somebody_cannot(id, role):
    tree = Library().tree(id)
    cannot = frozenset(NEEDS)
    model = build_model(tree, role, cannot=cannot)
    graph = route_graph(compile_route(model), model)
    assert prove(graph, model) == RULES
    nodes = [node for _, node in graph.nodes(data=True)]
    assert not any(cannot & needed(tree, node) for node in nodes)
    assert set(tree.ask_first) <= {node["of"] for node in nodes if node["kind"] == "check"}
    for node in nodes:
        if node["kind"] == "referral":
            assert node["of"] in tree.referrals


def test_the_proof_refuses_a_route_with_a_step_that_the_person_cannot_do():
    refused = 0
    for seed in SEEDS:
        tree = with_needs(seed)
        free = build_model(tree, "owner", other_trees=OTHER_TREES)
        graph = route_graph(compile_route(free), free)
        for need in NEEDS:
            there = any(need in needed(tree, node) for _, node in graph.nodes(data=True))
            bound = build_model(tree, "owner", other_trees=OTHER_TREES, cannot={need})
            if there:
                refused += 1
                with pytest.raises(UnsafeRoute, match="somebody does what is not for them") as error:
                    prove(graph, bound)
                assert error.value.rule == 2
    assert refused > 20


def test_whoever_cannot_smell_is_asked_about_the_smell_of_gas_all_the_same():
    tree = Library().tree("heater-no-fire")
    first = replace(tree.checks["smell-of-gas"], needs=("smell",))
    tree = replace(tree, checks={**tree.checks, "smell-of-gas": first})
    model = build_model(tree, cannot={"smell"})
    assert next_step(model, Situation()) == Step("check", "smell-of-gas")
    assert prove(route_graph(compile_route(model), model), model) == RULES


def test_a_step_planned_off_the_route_is_none_that_the_person_cannot_do():
    for seed in SEEDS:
        tree = with_needs(seed)
        model = build_model(tree, "owner", other_trees=OTHER_TREES, cannot=set(NEEDS))
        for step in allowed_steps(model, Situation()):
            if step.kind == "check" and step.of not in tree.ask_first:
                assert not tree.checks[step.of].needs


def test_a_route_is_kept_apart_only_where_the_tree_needs_what_somebody_cannot():
    tree = Library().tree("water-pump")
    needs = {need for check in tree.checks.values() for need in check.needs}
    assert "kneel" in needs
    plain = route_digest(build_model(tree))
    assert route_digest(build_model(tree, cannot={"kneel"})) != plain
    unneeded = set(NEEDS) - {
        need
        for step in (*tree.checks.values(), *(cause.remedy for cause in tree.causes()))
        for need in step.needs
    }
    assert unneeded
    assert route_digest(build_model(tree, cannot=unneeded)) == plain
