"""The proof of a route: it holds for whatever was compiled, and fails for each way of breaking a rule.

Every refusal names its rule and a path; that the path is one of the route's own is followed edge by edge.
Rules 1, 2 and 4 here; `test_proof_on_the_way.py` has what adds up on the way.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import prove
from diagnose.reasoning.route import Edge, RouteNode
from tests.reasoning.broken_routes import (
    ALL,
    changed_check,
    changed_remedy,
    first_node,
    graph_of,
    heater,
    refused,
    with_edge,
    with_node,
)
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@pytest.mark.parametrize("role", ["owner", "technician"])
@pytest.mark.parametrize("seed", range(16))
def test_every_compiled_route_is_proved(seed, role):
    model = build_model(made_up(seed), role, other_trees=OTHER_TREES)
    assert prove(route_graph(compile_route(model), model), model) == ALL


# A heater, whose route is then broken ---------------------------------------------------------------------


@pytest.fixture
def model():
    return heater()


@pytest.fixture
def route(model):
    return compile_route(model)


def test_the_heaters_route_itself_is_proved_and_holds_what_the_breaking_needs(model, route):
    assert prove(route_graph(route, model), model) == ALL
    kinds = {(node.kind, node.of) for node in route.nodes}
    wanted = {("remedy", "empty"), ("remedy", "fuse"), ("remedy", "wheel"), ("remedy", "tripped")}
    assert wanted <= kinds
    assert ("check", "weight") in kinds
    assert ("check", "flame") in kinds


# Rule 1 ---------------------------------------------------------------------------------------------------


def test_1_two_of_the_first_questions_swapped(model, route):
    smell, alarm = first_node(route, "check", "smell-of-gas"), first_node(route, "check", "mains-harmed")
    one, other = route.nodes[smell], route.nodes[alarm]
    swapped = with_node(route, smell, replace(one, of="mains-harmed"))
    swapped = with_node(swapped, alarm, replace(other, of="smell-of-gas"))
    error = refused(graph_of(swapped, model), model)
    assert error.rule == 1
    assert error.path == "start > check mains-harmed (look)"


def test_1_a_first_question_left_out(model, route):
    smell = first_node(route, "check", "smell-of-gas")
    after_alarm = route.nodes[first_node(route, "check", "co-alarm")].edges["quiet"].to
    error = refused(graph_of(with_edge(route, smell, "no", after_alarm), model), model)
    assert error.rule == 1
    assert error.path.startswith("start > smell-of-gas: no > check mains-harmed")


@pytest.mark.parametrize(
    ("of", "answer"),
    [
        ("smell-of-gas", "yes"),
        ("co-alarm", "sounds-or-ill"),
        ("smell-of-gas", "not-sure"),
        ("flame", "three"),
    ],
)
def test_1_a_stop_answer_that_leads_on(model, route, of, answer):
    at = first_node(route, "check", of)
    onward = route.nodes[at].edges[{"co-alarm": "quiet", "flame": "one"}.get(of, "no")].to
    error = refused(graph_of(with_edge(route, at, answer, onward), model), model)
    assert error.rule == 1
    assert f"{of}: {answer} > " in error.path


def test_1_a_stop_answer_that_leads_to_a_mere_referral(model, route):
    at = first_node(route, "check", "smell-of-gas")
    to = first_node(route, "referral")
    error = refused(graph_of(with_edge(route, at, "yes", to), model), model)
    assert error.rule == 1
    assert error.path.startswith("start > smell-of-gas: yes > referral")


def test_1_a_stop_of_the_wrong_kind(model, route):
    at = first_node(route, "check", "smell-of-gas")
    other = first_node(route, "stop", "co-suspected")
    error = refused(graph_of(with_edge(route, at, "yes", other), model), model)
    assert error.rule == 1
    assert error.path == "start > smell-of-gas: yes > stop co-suspected"


def test_1_a_step_after_a_stop(model, route):
    at = first_node(route, "stop", "gas-escape")
    later = first_node(route, "referral")
    node = replace(route.nodes[at], edges={"on": Edge(later, 1.0)})
    assert refused(graph_of(with_node(route, at, node), model), model).rule in (1, 4)


# Rule 2 ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cause", "hazard"), [("empty", "gas"), ("tripped", "mains"), ("wheel", "road")])
def test_2_a_remedy_with_tools_where_the_hazard_forbids_them(model, route, cause, hazard):
    worse = changed_remedy(model, cause, hands="tools")
    error = refused(graph_of(route, worse), worse)
    assert error.rule == 2
    assert error.path.endswith(f"> remedy {cause} (tools, {hazard})")


@pytest.mark.parametrize("hazard", ["gas", "mains", "fuel", "refrigerant", "road", "height"])
def test_2_a_check_with_tools_where_the_hazard_forbids_them(model, route, hazard):
    worse = changed_check(model, "flame", hands="tools", hazards=frozenset({hazard}))
    error = refused(graph_of(route, worse), worse)
    assert error.rule == 2
    assert error.path.endswith(f"> check flame (tools, {hazard})")


def test_2_a_technician_may_use_tools_under_road_but_not_under_gas():
    technician = heater("technician")
    on_wheels = changed_remedy(technician, "wheel", hands="tools", by="technician")
    assert prove(route_graph(compile_route(on_wheels), on_wheels), on_wheels) == ALL
    on_gas = changed_remedy(technician, "empty", hands="tools", by="technician")
    assert refused(graph_of(compile_route(on_gas), on_gas), on_gas).rule == 2


def test_2_an_owner_is_given_a_technicians_step(model, route):
    for worse in (
        changed_check(model, "flame", by="technician"),
        changed_remedy(model, "fuse", by="technician"),
    ):
        error = refused(graph_of(route, worse), worse)
        assert error.rule == 2


def test_2_a_graph_that_hides_its_hands(model, route):
    """The proof goes by the tree: what the graph tells of a step has to be the same."""
    worse = changed_remedy(model, "empty", hands="tools")
    graph = route_graph(route, worse)
    for _, node in graph.nodes(data=True):
        if node["of"] == "empty":
            node["hands"] = "controls"
    assert refused(graph, worse).rule == 2


# Rule 4 ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "of", "answer"),
    [
        ("check", "weight", "one"),
        ("check", "flame", "not-sure"),
        ("remedy", "fuse", "could-not"),
        ("remedy", "fuse", "not-cured"),
    ],
)
def test_4_an_answer_that_leads_nowhere(model, route, kind, of, answer):
    at = first_node(route, kind, of)
    node = route.nodes[at]
    cut = replace(node, edges={key: edge for key, edge in node.edges.items() if key != answer})
    error = refused(graph_of(with_node(route, at, cut), model), model)
    assert error.rule == 4
    assert f"> {kind} {of}" in error.path


def test_4_an_answer_that_does_not_exist(model, route):
    at = first_node(route, "check", "weight")
    node = route.nodes[at]
    more = replace(node, edges={**node.edges, "four": node.edges["one"]})
    assert refused(graph_of(with_node(route, at, more), model), model).rule == 4


def test_4_the_same_answer_twice(model, route):
    graph = route_graph(route, model)
    at = first_node(route, "check", "weight")
    onward = route.nodes[at].edges
    other = next(edge.to for answer, edge in onward.items() if edge.to != onward["one"].to)
    graph.add_edge(at, other, key="one", answer="one", probability=0.0)
    assert refused(graph, model).rule == 4


def test_4_a_way_back(model, route):
    graph = route_graph(route, model)
    at = first_node(route, "remedy", "fuse")
    graph.remove_edge(at, route.nodes[at].edges["could-not"].to, key="could-not")
    graph.add_edge(at, 0, key="could-not", answer="could-not", probability=0.0)
    assert refused(graph, model).rule == 4


def test_4_a_path_that_ends_in_a_question(model, route):
    at = first_node(route, "referral")
    ending = replace(route.nodes[at], kind="check", of="weight")
    assert refused(graph_of(with_node(route, at, ending), model), model).rule == 4


def test_4_a_step_that_is_none(model, route):
    graph = route_graph(route, model)
    graph.nodes[first_node(route, "check", "weight")]["kind"] = "guess"
    error = refused(graph, model)
    assert error.rule == 4


@pytest.mark.parametrize("kind", ["referral", "handover"])
def test_4_an_end_that_nobody_knows(model, route, kind):
    at = first_node(route, "referral")
    nowhere = replace(route.nodes[at], kind=kind, of="nobody")
    error = refused(graph_of(with_node(route, at, nowhere), model), model)
    assert error.rule == 4
    assert error.path.endswith(f"> {kind} nobody")


def test_4_a_question_asked_twice_on_one_path(model, route):
    at = first_node(route, "check", "flame")
    node = route.nodes[at]
    again = RouteNode("check", "flame", dict(node.edges), 0.0, node.shares)
    longer = replace(route, nodes=(*route.nodes, again))
    graph = route_graph(with_edge(longer, at, "one", len(route.nodes)), model)
    error = refused(graph, model)
    assert error.rule == 4
    assert "flame: one > check flame" in error.path


def test_the_first_refusal_reads_as_a_sentence_with_its_path(model, route):
    at = first_node(route, "check", "smell-of-gas")
    onward = route.nodes[at].edges["no"].to
    error = refused(graph_of(with_edge(route, at, "yes", onward), model), model)
    assert str(error) == (
        "the route breaks safety rule 1, a stop answer does not stop: "
        "start > smell-of-gas: yes > check co-alarm (look)"
    )
