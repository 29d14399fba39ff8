"""What a refusal says: the rule, why, and a path that really breaks it; and what each rule lets by.

Rules 1, 2 and 4: what is asked first, who does what, where steps lead.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import prove
from tests.reasoning.broken_graphs import added, find, graph_and_model, lead, two_causes
from tests.reasoning.broken_routes import (
    ALL,
    first_node,
    graph_of,
    heater,
    refused,
    with_node,
)
from tests.reasoning.by_hand import cause, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@pytest.fixture
def two():
    return two_causes()


# Rule 1 ---------------------------------------------------------------------------------------------------


def test_1_what_is_not_asked_first_is_named():
    model = heater()
    graph = route_graph(compile_route(model), model)
    later = build_model(replace(model.tree, ask_first=("co-alarm",)), other_trees=OTHER_TREES)
    assert str(refused(graph, later)) == (
        'the route breaks safety rule 1, "co-alarm" is not asked first: start > check smell-of-gas (look)'
    )


# Rule 2 ---------------------------------------------------------------------------------------------------


def test_2_who_does_what_is_not_for_them_is_told(two):
    graph, model = two
    graph.nodes[1]["by"] = "technician"
    assert str(refused(graph, model)) == (
        "the route breaks safety rule 2, somebody does what is not for them: "
        "start > first: could-not > remedy second (look)"
    )


def test_2_an_owner_may_use_tools_where_no_hazard_forbids_them():
    graph, model = graph_and_model(fuse=cause(60, do(hands="tools")), hot=cause(30, hazard="hot"))
    assert prove(graph, model) == ALL
    assert graph.nodes[find(graph, "remedy", "fuse")]["hands"] == "tools"


def test_2_hazards_that_a_remedy_brings_itself_belong_to_its_step():
    graph, model = graph_and_model(fuse=cause(60, do(hazard="hot")), pump=cause(30, hazard="hot"))
    for of in ("fuse", "pump"):
        node = graph.nodes[find(graph, "remedy", of)]
        assert node["hazard"] == ["hot"]
        node["hazard"] = []
        assert refused(graph, model).rule == 2
        node["hazard"] = ["hot"]
    assert prove(graph, model) == ALL


@pytest.mark.parametrize("role", ["owner", "technician"])
def test_2_what_controls_are_needed_for_is_not_called_a_look(role):
    graph, model = graph_and_model(role=role, fuse=cause(60, do(hands="controls")), pump=cause(30))
    node = graph.nodes[find(graph, "remedy", "fuse")]
    node["hands"] = "look"
    assert refused(graph, model).rule == 2
    node["hands"] = "controls"
    assert prove(graph, model) == ALL


# Rule 4 ---------------------------------------------------------------------------------------------------


def test_4_an_answer_that_leads_nowhere_is_told_with_the_step(two):
    graph, model = two
    _, to, _ = next(edge for edge in graph.out_edges(1, keys=True) if edge[2] == "cured")
    graph.remove_edge(1, to, key="cured")
    assert str(refused(graph, model)) == (
        "the route breaks safety rule 4, an answer leads nowhere: "
        "start > first: could-not > remedy second (look)"
    )


def test_4_a_step_that_is_none_is_told(two):
    graph, model = two
    graph.nodes[0]["kind"] = "guess"
    assert str(refused(graph, model)) == (
        "the route breaks safety rule 4, it holds a step that is none: start > guess first (look)"
    )


def test_4_a_cause_that_others_put_right_is_no_step():
    """Even where the graph says that a technician, or somebody qualified, does it."""
    for role in ("owner", "technician"):
        model = heater(role)
        route = compile_route(model)
        at = first_node(route, "remedy", "fuse")
        graph = graph_of(with_node(route, at, replace(route.nodes[at], of="blocked")), model)
        for by in ("owner", "technician", "somebody qualified", None):
            graph.nodes[at]["by"] = by
            error = refused(graph, model)
            assert (error.rule, error.why) == (4, "it holds a step that is none")


@pytest.mark.parametrize("of", ["nobody", "first+second", "second+first", ""])
def test_4_a_remedy_of_no_cut_set_is_no_step(two, of):
    graph, model = two
    graph.nodes[1]["of"] = of
    assert str(refused(graph, model)).startswith(
        "the route breaks safety rule 4, it holds a step that is none: start > first: "
    )


def test_4_a_cut_set_with_one_cause_for_others_is_no_step():
    pair = {"says": "Both", "all_of": {"a": cause(30), "b": cause(30, {"refer": "workshop"})}}
    model = model_of({"any_of": {"pair": pair, "c": cause(40)}})
    graph = route_graph(compile_route(model), model)
    assert prove(graph, model) == ALL
    graph.nodes[find(graph, "remedy", "c")]["of"] = "a+b"
    assert refused(graph, model).why == "it holds a step that is none"


def test_4_the_remedies_of_both_causes_of_a_cut_set_are_one_step():
    pair = {"says": "Both", "all_of": {"a": cause(30, do(hazard="hot")), "b": cause(30, do(hands="tools"))}}
    model = model_of({"any_of": {"pair": pair, "c": cause(40)}})
    graph = route_graph(compile_route(model), model)
    node = graph.nodes[find(graph, "remedy", "a+b")]
    assert (node["hazard"], node["hands"], node["by"]) == (["hot"], "tools", "owner")
    assert prove(graph, model) == ALL


def test_4_nobody_hands_over_to_what_is_no_tree():
    """Neither to a remedy's text nor to a referral, though causes name both."""
    model = heater(other_trees=OTHER_TREES)
    route = compile_route(model)
    at = first_node(route, "referral")
    for of in ("Put it right", "gas-engineer", "cured"):
        handing = replace(route.nodes[at], kind="handover", of=of)
        error = refused(graph_of(with_node(route, at, handing), model), model)
        assert error.why == "it holds a step that is none"


def test_4_a_circle_is_told_from_where_it_begins(two):
    graph, model = two
    to = next(target for _, target, key in graph.out_edges(1, keys=True) if key == "not-cured")
    graph.remove_edge(1, to, key="not-cured")
    middle = added(graph, 1, cured=find(graph, "cured", "cured"), not_cured=to, could_not=1)
    graph.add_edge(1, middle, key="not-cured", answer="not-cured", probability=0.0)
    graph.nodes[middle]["of"] = "third"
    error = refused(graph, model)
    assert (error.rule, error.why) == (4, "it goes round in a circle")
    assert error.path == "start > first: could-not > remedy second (look)"


def test_4_a_flawed_step_that_nobody_comes_by_is_refused_all_the_same(two):
    graph, model = two
    at = added(graph, 1)
    with pytest.raises(Exception, match="an answer leads nowhere: start > remedy second"):
        prove(graph, model)
    graph.remove_node(at)
    assert prove(graph, model) == ALL


@pytest.mark.parametrize("again", ["first", "second"])
def test_4_a_step_that_comes_twice_is_told_with_both_times(two, again):
    graph, model = two
    kept = {key: to for _, to, key in graph.out_edges(1, keys=True)}
    twice = added(
        graph, find(graph, "remedy", again), **{key.replace("-", "_"): to for key, to in kept.items()}
    )
    lead(graph, 1, {"not-cured": twice})
    error = refused(graph, model)
    assert (error.rule, error.why) == (4, "a step comes twice on one path")
    assert error.path == f"start > first: could-not > second: not-cured > remedy {again} (look)"


def test_4_a_step_that_comes_twice_on_one_of_two_ways_only():
    """A short way leads past the first of the two, and joins before the second."""
    found = 0
    for seed in range(12):
        model = build_model(made_up(seed, "flat"), "technician", other_trees=OTHER_TREES)
        graph = route_graph(compile_route(model), model)
        for at, node in list(graph.nodes(data=True)):
            before = [b for b in graph.predecessors(at) if graph.nodes[b]["kind"] == "remedy"]
            if node["kind"] != "remedy" or len(set(graph.predecessors(at))) < 2 or not before:
                continue
            found += 1
            kept = dict(node)
            node.update({k: v for k, v in graph.nodes[before[0]].items() if k != "cautions"})
            error = refused(graph, model)
            assert (error.rule, error.why) == (4, "a step comes twice on one path")
            told = f"{node['of']}: "
            assert told in error.path, error.path
            node.update(kept)
    assert found > 2


def test_4_a_longer_way_on_which_it_comes_once_does_not_hide_a_shorter_on_which_it_comes_twice():
    graph, model = graph_and_model(a=cause(60), b=cause(20), c=cause(10), d=cause(5))
    end, cured = find(graph, "referral", "workshop"), find(graph, "cured", "cured")

    def following(of, to):
        return added(graph, find(graph, "remedy", of), cured=cured, not_cured=to, could_not=to)

    last = following("b", end)
    lead(graph, 0, {"not-cured": following("b", last), "could-not": following("c", following("d", last))})
    error = refused(graph, model)
    assert (error.rule, error.why) == (4, "a step comes twice on one path")
    assert error.path == "start > a: not-cured > b: could-not > remedy b (look)"
