"""The proof fails for each way of breaking what adds up on the way: cautions, tries, the mains, cures.

Every refusal names its rule (5, 6 or 7) and a path; that the path is one of the route's own is followed.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.terms import CuredWhen
from tests.reasoning.broken_routes import (
    changed_check,
    changed_remedy,
    first_node,
    graph_of,
    heater,
    refused,
    with_edge,
)
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@pytest.fixture
def model():
    return heater()


@pytest.fixture
def route(model):
    return compile_route(model)


# Rule 5 ---------------------------------------------------------------------------------------------------


def test_5_a_caution_of_the_tree_left_out(model, route):
    graph = route_graph(route, model)
    assert "hot-surfaces" in graph.nodes[0]["cautions"]
    graph.nodes[0]["cautions"] = ()
    error = refused(graph, model)
    assert error.rule == 5
    assert "hot-surfaces" in error.why


@pytest.mark.parametrize("hazard", ["gas", "mains", "road"])
def test_5_a_hazards_caution_left_out(model, route, hazard):
    graph = route_graph(route, model)
    shown = [at for at, node in graph.nodes(data=True) if hazard in node["cautions"]]
    assert shown
    for at in shown:
        graph.nodes[at]["cautions"] = tuple(c for c in graph.nodes[at]["cautions"] if c != hazard)
    error = refused(graph, model)
    assert error.rule == 5
    assert hazard in error.why
    assert hazard in error.path.rsplit("(", 1)[1]


def test_5_a_caution_shown_on_one_of_two_ways_only(model, route):
    """Each place where it is shown first is needed: taking any one away breaks the rule."""
    graph = route_graph(route, model)
    for at, node in list(graph.nodes(data=True)):
        for caution in node["cautions"]:
            kept = node["cautions"]
            node["cautions"] = tuple(each for each in kept if each != caution)
            error = refused(graph, model)
            assert (error.rule, caution in error.why) == (5, True), at
            node["cautions"] = kept


def test_5_a_caution_that_only_some_of_the_ways_to_a_step_have_shown():
    """Where paths meet, one may have shown it before and another not: the step has to show it."""
    from networkx import ancestors

    found = 0
    for seed in range(25):
        model = build_model(made_up(seed, "branches"), other_trees=OTHER_TREES)
        graph = route_graph(compile_route(model), model)
        for at, node in list(graph.nodes(data=True)):
            for caution in node["cautions"]:
                if any(caution in graph.nodes[before]["cautions"] for before in ancestors(graph, at)):
                    found += 1
                    kept = node["cautions"]
                    node["cautions"] = tuple(each for each in kept if each != caution)
                    assert refused(graph, model).rule == 5
                    node["cautions"] = kept
    assert found >= 2


def test_5_a_caution_shown_after_the_step(model, route):
    graph = route_graph(route, model)
    for at, node in list(graph.nodes(data=True)):
        if "gas" in node["cautions"]:
            node["cautions"] = tuple(c for c in node["cautions"] if c != "gas")
            for later in graph.successors(at):
                graph.nodes[later]["cautions"] = (*graph.nodes[later]["cautions"], "gas")
    assert refused(graph, model).rule == 5


def test_5_the_danger_questions_themselves_need_no_caution(model, route):
    graph = route_graph(route, model)
    for at, node in graph.nodes(data=True):
        if node["of"] in model.tree.ask_first and at != 0:
            assert node["cautions"] == ()


# Rule 6 ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tries", [1, 2])
def test_6_more_starts_than_tries(model, route, tries):
    fewer = build_model(replace(model.tree, tries=tries), other_trees=OTHER_TREES)
    error = refused(graph_of(route, fewer), fewer)
    assert error.rule == 6
    # The path holds one start more than there are tries, the last step being one.
    starting = re.findall(r"(?:weight|empty|fuse|tripped|wheel)(?:: (?!could-not))", error.path)
    assert len(starting) == tries
    assert re.search(r"> (check weight|remedy \S+) \(", error.path)


def test_6_a_check_that_starts_it_counts(model, route):
    free = build_model(replace(model.tree, tries=None), other_trees=OTHER_TREES)
    longest = compile_route(free)
    assert refused(graph_of(longest, model), model).rule == 6


def test_6_the_mains_restored_twice(model, route):
    worse = changed_remedy(model, "fuse", restores_mains=True)
    error = refused(graph_of(route, worse), worse)
    assert error.rule == 6
    assert "tripped" in error.path
    assert "fuse" in error.path


def test_6_the_mains_restored_by_a_check_and_a_remedy(model, route):
    worse = changed_check(model, "weight", restores_mains=True)
    worse = changed_remedy(worse, "tripped", restores_mains=True)
    assert refused(graph_of(route, worse), worse).rule == 6


# Rule 7 ---------------------------------------------------------------------------------------------------


def test_7_a_cure_after_a_mere_answer(model, route):
    at, cured = first_node(route, "check", "weight"), first_node(route, "cured")
    error = refused(graph_of(with_edge(route, at, "one", cured), model), model)
    assert error.rule == 7
    assert error.path.endswith("weight: one > cured cured")


@pytest.mark.parametrize("answer", ["not-cured", "could-not"])
def test_7_a_cure_where_nothing_was_cured(model, route, answer):
    at, cured = first_node(route, "remedy", "fuse"), first_node(route, "cured")
    assert refused(graph_of(with_edge(route, at, answer, cured), model), model).rule == 7


def test_7_nothing_is_asked_before_a_cure(model, route):
    silent = build_model(replace(model.tree, cured_when=CuredWhen("")), other_trees=OTHER_TREES)
    assert refused(graph_of(route, silent), silent).rule == 7


@pytest.mark.parametrize(
    "text",
    [
        "Drive to a level place",
        "Loosen it, then move the vehicle forward",
        "Jack it up. Roll it back a little",
    ],
)
def test_7_a_step_under_road_that_moves_the_vehicle(model, route, text):
    worse = changed_remedy(model, "wheel", text=text)
    error = refused(graph_of(route, worse), worse)
    assert error.rule == 7
    assert error.path.endswith("> remedy wheel (look, road)")
