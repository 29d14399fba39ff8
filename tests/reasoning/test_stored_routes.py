"""A route as JSON: back again digit for digit, and anything else refused as damaged."""

from __future__ import annotations

import json
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reasoning.route import DamagedRoute, route_from_json, route_to_json
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@cache
def stored(seed=1):
    return route_to_json(compile_route(build_model(made_up(seed), other_trees=OTHER_TREES)))


@pytest.mark.parametrize("seed", range(20))
def test_a_route_comes_back_as_it_was(seed):
    route = compile_route(build_model(made_up(seed), other_trees=OTHER_TREES))
    assert route_from_json(route_to_json(route)) == route


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        "{}",
        "7",
        '"route"',
        "[" * 100_000,
        "{",
        "\x00",
        '{"nodes": {}, "ids": [], "start": 0}',
    ],
)
def test_what_is_no_route_is_damaged(text):
    with pytest.raises(DamagedRoute):
        route_from_json(text)


def test_a_route_that_was_cut_short_anywhere_is_damaged():
    text = stored()
    for length in range(0, len(text), max(1, len(text) // 200)):
        with pytest.raises(DamagedRoute):
            route_from_json(text[:length])


WRONG = [None, [], {}, "x", True, -1, 2.5, 10**9, 1e999, float("nan"), [[]], ["a", 1, 2]]


@pytest.mark.parametrize("key", ["ids", "start", "nodes"])
@pytest.mark.parametrize("value", [value for value in WRONG if value != []])
def test_a_wrong_value_at_the_top_is_damaged(key, value):
    data = {**json.loads(stored()), key: value}
    with pytest.raises(DamagedRoute):
        route_from_json(json.dumps(data))


# Another id, or a node without edges, has the form of a route; whether it is a safe one is for the proof.
IN_NODE = [(field, v) for field in range(5) for v in WRONG if (field, v) not in ((1, "x"), (4, []))]


@pytest.mark.parametrize(("field", "value"), IN_NODE)
def test_a_wrong_value_in_a_node_is_damaged(field, value):
    data = json.loads(stored())
    data["nodes"][0][field] = value
    with pytest.raises(DamagedRoute):
        route_from_json(json.dumps(data))


@pytest.mark.parametrize("field", range(3))
@pytest.mark.parametrize("value", [value for value in WRONG if value != "x"])
def test_a_wrong_value_in_an_edge_is_damaged(field, value):
    data = json.loads(stored())
    data["nodes"][0][4][0][field] = value
    with pytest.raises(DamagedRoute):
        route_from_json(json.dumps(data))


def test_edges_that_lead_back_or_out_of_the_route_are_damaged():
    for to in (0, -1, 10**6):
        data = json.loads(stored())
        data["nodes"][0][4][0][1] = to
        with pytest.raises(DamagedRoute):
            route_from_json(json.dumps(data))


@settings(max_examples=80)
@given(st.data())
def test_a_route_with_some_characters_changed_is_a_route_or_damaged(data):
    text = stored()
    at = data.draw(st.integers(0, len(text) - 1))
    put = data.draw(st.text(alphabet='0123456789[]{},:"-.eEnulNaIfity x\\', max_size=4))
    cut = data.draw(st.integers(0, 5))
    try:
        route = route_from_json(text[:at] + put + text[at + cut :])
    except DamagedRoute:
        return
    assert all(
        at < edge.to < len(route.nodes) for at, n in enumerate(route.nodes) for edge in n.edges.values()
    )
    assert all(0 <= share <= 1 + 1e-9 for node in route.nodes for share in node.shares)
