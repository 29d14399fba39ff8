"""Rule 3 in the proof."""

from __future__ import annotations

import re
from dataclasses import replace

from diagnose.reasoning import allowing
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import prove
from tests.reasoning.broken_routes import ALL, first_node, graph_of, refused, with_node
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


def led_by_gas(**more):
    """After `empty` has failed nothing of the gas causes is left, and they may still lead."""
    tree = faults(
        empty=cause(45, do(minutes=8, cures=0.3, hands="controls"), hazard="gas"),
        blocked=cause(30, {"refer": "gas-engineer"}, hazard="gas"),
        fuse=cause(20, do(minutes=2)),
        wires=cause(5, {"see": OTHER_TREES[0]}),
    )
    checks = {"listen": check(minutes=0.5, expect={"fuse": {"one": 0.9}, "wires": {"two": 0.9}})}
    return model_of(tree, checks, ask_first=["smell-of-gas", "co-alarm"], refer_to="gas-engineer", **more)


def never(model, states, *_):
    import numpy as np

    return np.zeros(len(states), dtype=bool)


def test_3_going_on_where_only_a_referral_is_left(monkeypatch):
    model = led_by_gas()
    assert prove(route_graph(compile_route(model), model), model) == ALL
    monkeypatch.setattr(allowing, "_must_refer", never)
    graph = route_graph(compile_route(model), model)
    error = refused(graph, model)
    assert error.rule == 3
    assert "empty: " in error.path
    assert re.search(r"> (check listen|remedy fuse)", error.path)


def test_3_a_hand_over_where_only_a_referral_is_left():
    model = led_by_gas()
    route = compile_route(model)
    at = first_node(route, "remedy", "empty")
    to = route.nodes[at].edges["not-cured"].to
    assert route.nodes[to].kind == "referral"
    handing = replace(route.nodes[to], kind="handover", of=OTHER_TREES[0])
    error = refused(graph_of(with_node(route, to, handing), model), model)
    assert (error.rule, error.why) == (3, "a step other than a referral where only that is left")
    assert error.path.endswith(f"> handover {OTHER_TREES[0]}")


def test_3_on_made_up_trees_every_route_without_the_rule_is_refused_or_needs_none(monkeypatch):
    """Compiled blind to the rule: refused just where the rule written out bars a step of the route."""
    from tests.reasoning.exhaustive import Exhaustive
    from tests.reasoning.plain_bayes import plainly
    from tests.reasoning.test_routes import paths

    monkeypatch.setattr(allowing, "_must_refer", never)
    broken = 0
    for seed in range(30):
        model = build_model(made_up(seed, "led"), other_trees=OTHER_TREES)
        planner = Exhaustive(plainly(model.tree), OTHER_TREES)
        route = compile_route(model)
        wrong = any(
            (node.kind, node.of) not in planner.steps(here) for _, node, here, _ in paths(route, planner)
        )
        broken += wrong
        if wrong:
            assert refused(graph_of(route, model), model).rule == 3
        else:
            assert prove(route_graph(route, model), model) == ALL
    assert broken > 3
