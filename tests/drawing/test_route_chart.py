"""Laws of a chart, on routes made at random."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from networkx import MultiDiGraph, descendants, has_path

from diagnose.drawing.route_chart import danger_block, is_step, route_chart

ANSWERS = ("a", "b", "c", "not-sure")
ENDS = (("cured", "cured"), ("referral", "workshop"), ("stop", "gas-escape"), ("stop", "electrician"))


def route_of(ways, first=0):
    """A route of as many steps as there are `ways`: each has its answers as (target, weight) pairs.

    A target is so many steps further on, or an end where there is no such step; what nobody can come to is
    left out. The first questions are those of `ask_first`, of which each leads to the next or to an end.
    """
    graph = MultiDiGraph(start=0, role="owner")
    for at in range(len(ways)):
        of = f"danger-{at}" if at < first else f"check-{at}"
        graph.add_node(at, kind="check", of=of, hazard=[], by="owner", probability=0.0)
    for number, (kind, of) in enumerate(ENDS):
        graph.add_node(len(ways) + number, kind=kind, of=of, hazard=[], by=None, probability=0.0)
    for at, answers in enumerate(ways):
        whole = sum(weight for _, weight in answers)
        for answer, (further, weight) in zip(ANSWERS, answers, strict=False):
            to = at + 1 + further
            to = to if to < len(ways) else len(ways) + to % len(ENDS)
            if at < first - 1 and to < len(ways):
                to = at + 1
            graph.add_edge(at, to, key=answer, answer=answer, probability=weight / whole)
    graph.nodes[0]["probability"] = 1.0
    for at in range(len(ways)):
        for _, to, edge in graph.out_edges(at, data=True):
            graph.nodes[to]["probability"] += graph.nodes[at]["probability"] * edge["probability"]
    graph.remove_nodes_from(set(graph) - {0} - descendants(graph, 0))
    tree = SimpleNamespace(ask_first=tuple(f"danger-{at}" for at in range(first)))
    return graph, tree


def routes(first=0):
    """Routes at random; `first` of their steps are danger questions."""
    answer = st.tuples(st.integers(0, 6), st.floats(0.01, 1.0))
    steps = st.lists(st.lists(answer, min_size=2, max_size=4), min_size=first + 1, max_size=10)
    return st.builds(lambda ways: route_of(ways, first), steps)


def ways_of(graph, node):
    return {(node, answer) for _, _, answer in graph.out_edges(node, keys=True)}


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_ends_and_folds_together_have_every_vehicle(route, down_to):
    graph, tree = route
    chart = route_chart(graph, tree, down_to)
    ends = sum(
        line.share
        for step in chart.steps
        for line in step.lines
        if line.to is not None and not is_step(graph, line.to)
    )
    assert ends + chart.folded == pytest.approx(1.0, abs=1e-9)


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_what_goes_out_of_a_step_is_what_comes_in(route, down_to):
    graph, tree = route
    chart = route_chart(graph, tree, down_to)
    into = dict.fromkeys((step.at for step in chart.steps), 0.0) | {0: 1.0}
    for step in chart.steps:
        for line in step.lines:
            if line.to in into:
                into[line.to] += line.share
    for step in chart.steps:
        assert sum(line.share for line in step.lines) == pytest.approx(step.share, abs=1e-9)
        assert into[step.at] == pytest.approx(step.share, abs=1e-9)


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_every_step_that_enough_vehicles_come_by_is_drawn_and_can_be_reached(route, down_to):
    graph, tree = route
    chart = route_chart(graph, tree, down_to)
    drawn = {step.at for step in chart.steps}
    wanted = {at for at in graph if is_step(graph, at) and graph.nodes[at]["probability"] >= down_to}
    assert wanted <= drawn
    assert set(chart.parents) == drawn - {0}
    inner = graph.subgraph(drawn)
    assert all(has_path(inner, 0, at) for at in drawn)
    assert chart.left_out == sum(is_step(graph, at) for at in graph) - len(drawn)


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_every_line_stands_for_edges_of_the_route_and_every_edge_of_a_drawn_step_has_one_line(route, down_to):
    graph, tree = route
    for step in route_chart(graph, tree, down_to).steps:
        ways = [way for line in step.lines for way in line.ways]
        assert len(ways) == len(set(ways))
        assert set(ways) == ways_of(graph, step.at)
        for line in step.lines:
            for node, answer in line.ways:
                (to,) = (to for _, to, key in graph.out_edges(node, keys=True) if key == answer)
                assert line.to is None or (graph.nodes[to]["kind"], graph.nodes[to]["of"]) == (
                    graph.nodes[line.to]["kind"],
                    graph.nodes[line.to]["of"],
                )


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_steps_are_numbered_from_one_and_a_step_stands_beneath_one_with_a_lower_number(route, down_to):
    graph, tree = route
    chart = route_chart(graph, tree, down_to)
    assert [step.number for step in chart.steps] == list(range(1, len(chart.steps) + 1))
    numbers = {step.at: step.number for step in chart.steps}
    assert all(numbers[parent] < numbers[at] for at, parent in chart.parents.items())


@settings(max_examples=40)
@given(routes())
def test_nothing_is_folded_if_all_is_asked_for(route):
    graph, tree = route
    chart = route_chart(graph, tree, 0.0)
    assert (chart.left_out, chart.folded) == (0, 0.0)


@settings(max_examples=40)
@given(routes(), st.floats(0.0, 0.4))
def test_a_stop_and_a_cure_are_never_folded(route, down_to):
    graph, tree = route
    for step in route_chart(graph, tree, down_to).steps:
        shown = {way for line in step.lines if line.to is not None for way in line.ways}
        for _, to, answer in graph.out_edges(step.at, keys=True):
            if graph.nodes[to]["kind"] in ("stop", "cured"):
                assert (step.at, answer) in shown


@settings(max_examples=40)
@given(routes(first=3), st.floats(0.0, 0.4))
def test_the_danger_questions_are_one_block_or_in_full_steps_and_no_stop_is_lost(route, down_to):
    graph, tree = route
    block = danger_block(graph, tree)
    folded = route_chart(graph, tree, down_to)
    full = route_chart(graph, tree, down_to, danger_in_full=True)
    assert folded.steps[0].nodes == block
    assert all(len(step.nodes) == 1 for step in full.steps)
    assert len(full.steps) >= len(folded.steps)
    assert folded.steps[0].last_number == len(block)
    stops = {way for line in folded.steps[0].lines for way in line.ways}
    for node in block:
        for _, to, answer in graph.out_edges(node, keys=True):
            assert (node, answer) in stops or to in block
    assert sum(line.share for line in folded.steps[0].lines) == pytest.approx(1.0, abs=1e-9)


@settings(max_examples=40)
@given(routes(), st.data())
def test_the_way_of_a_case_is_drawn_whole_and_comes_first(route, data):
    graph, tree = route
    walked, at = [], 0
    while is_step(graph, at):
        _, to, answer = data.draw(st.sampled_from(list(graph.out_edges(at, keys=True))))
        walked.append((at, answer))
        at = to
    chart = route_chart(graph, tree, 0.9, walked=walked)
    assert [step.at for step in chart.steps][: len(walked)] == [node for node, _ in walked]
    shown = {way for step in chart.steps for line in step.lines if line.to is not None for way in line.ways}
    assert set(walked) <= shown
