"""Compiled routes of made-up trees: their form, and every path against the rules written out once more."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.terms import NOT_SURE
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.exhaustive import Closing, Exhaustive, Here
from tests.reasoning.made_up_trees import OTHER_TREES, made_up
from tests.reasoning.plain_bayes import plainly
from tests.reasoning.route_by_hand import follow

IMPROBABLE = 1e-4
"""Below this a branch asks nothing more."""

ENDS = {"referral", "stop", "handover", "cured"}
EACH = pytest.mark.parametrize(
    ("seed", "role"), [(seed, role) for seed in range(8) for role in ("owner", "technician")]
)


@cache
def compiled(seed, role):
    """A route, and what is known of its tree without the package's reasoning."""
    tree = made_up(seed)
    return compile_route(build_model(tree, role, other_trees=OTHER_TREES)), plainly(tree, role)


@EACH
def test_every_step_has_every_edge_and_every_end_has_none(seed, role):
    route, plain = compiled(seed, role)
    for node in route.nodes:
        if node.kind == "check":
            wanted = {*(each.id for each in plain.tree.checks[node.of].answers), NOT_SURE}
        elif node.kind == "remedy":
            wanted = {"cured", "not-cured", "could-not"}
        else:
            assert node.kind in ENDS
            wanted = set()
        assert set(node.edges) == wanted


@EACH
def test_edges_lead_forward_and_every_node_is_come_by(seed, role):
    route, _ = compiled(seed, role)
    assert route.start == 0
    assert all(edge.to > at for at, node in enumerate(route.nodes) for edge in node.edges.values())
    reached = {route.start}
    for at, node in enumerate(route.nodes):
        if at in reached:
            reached |= {edge.to for edge in node.edges.values()}
    assert reached == set(range(len(route.nodes)))


@EACH
def test_out_edges_sum_to_one_and_a_node_is_come_by_as_often_as_its_in_edges(seed, role):
    route, _ = compiled(seed, role)
    incoming = [0.0] * len(route.nodes)
    incoming[route.start] = 1.0
    for at, node in enumerate(route.nodes):
        assert node.probability == pytest.approx(incoming[at], rel=1e-9, abs=1e-15)
        if node.edges:
            assert sum(edge.probability for edge in node.edges.values()) == pytest.approx(1, abs=1e-9)
        for edge in node.edges.values():
            incoming[edge.to] += node.probability * edge.probability


@EACH
def test_probabilities_are_those_of_following_every_suspect(seed, role):
    route, plain = compiled(seed, role)
    found = follow(route, plain)
    for at, node in enumerate(route.nodes):
        assert node.probability == pytest.approx(found.nodes.get(at, 0.0), rel=1e-9, abs=1e-14)
        for answer, edge in node.edges.items():
            gone = found.edges.get((at, answer), 0.0)
            assert node.probability * edge.probability == pytest.approx(gone, rel=1e-9, abs=1e-14)


@EACH
def test_stops_are_straight(seed, role):
    route, plain = compiled(seed, role)
    for node in route.nodes:
        for answer, edge in node.edges.items():
            target = route.nodes[edge.to]
            stops = node.kind == "check" and (
                answer in plain.tree.checks[node.of].stop_on
                or (answer == NOT_SURE and node.of in plain.tree.ask_first)
            )
            assert (target.kind == "stop") == stops
            if stops:
                assert (target.of, dict(target.edges)) == (plain.tree.checks[node.of].refer, {})


@EACH
def test_equal_sub_routes_are_one_node(seed, role):
    route, _ = compiled(seed, role)
    spelled: dict[int, tuple] = {}
    for at in reversed(range(len(route.nodes))):
        node = route.nodes[at]
        spelled[at] = (node.kind, node.of, tuple((answer, edge.to) for answer, edge in node.edges.items()))
    assert len(set(spelled.values())) == len(route.nodes)


@EACH
def test_an_improbable_branch_asks_nothing_more(seed, role):
    route, plain = compiled(seed, role)
    found = follow(route, plain)
    for at, node in enumerate(route.nodes):
        asks = node.kind == "check" and node.of not in plain.tree.ask_first
        if asks or node.kind == "handover":
            assert found.nodes[at] >= IMPROBABLE * (1 - 1e-9)


def paths(route, planner, most=20_000):
    """Every node with every state in which some path reaches it, and how often; equal ones once."""
    start = Here(planner.plain.prior)
    waiting, count = {(route.start, start): 1.0}, 0
    while waiting:
        at, here = min(waiting, key=lambda key: key[0])
        chance = waiting.pop((at, here))
        node = route.nodes[at]
        yield at, node, here, chance
        count += 1
        assert count < most, "a tree too large for this"
        for answer, edge in node.edges.items():
            if route.nodes[edge.to].kind in ("stop", "cured"):
                continue
            part, after = follow_edge(planner, node, answer, here)
            key = (edge.to, rounded(after))
            waiting[key] = waiting.get(key, 0.0) + chance * part


def follow_edge(planner, node, answer, here):
    """The chance of an edge and the state behind it; the impossible is what is not listed."""
    if node.kind == "check":
        unsure = planner.tree.checks[node.of].not_sure
        part, after = planner.after_check(node.of, None if answer == NOT_SURE else answer, here)
        part *= unsure if answer == NOT_SURE else 1 - unsure
        if after is here:
            _, after = planner.after_check(node.of, None, here)
            return 0.0, replace_belief(after)
        return part, after
    if answer == "could-not":
        return 0.0, planner.after_no_try(node.of, here)
    part, after = planner.after_failure(node.of, here)
    if after is here:
        sure = [0.0 if each.id == node.of else 1.0 for each in planner.plain.suspects]
        _, after = planner.after_failure(node.of, Here(tuple(sure), *list(vars(here).values())[1:]))
        return 0.0, replace_belief(after)
    return part, after


def replace_belief(here):
    """The same state with all belief in what is not listed."""
    hidden = (*(0.0 for _ in here.belief[1:]), 1.0)
    return Here(hidden, *list(vars(here).values())[1:])


def rounded(here):
    return Here(tuple(round(p, 11) for p in here.belief), *list(vars(here).values())[1:])


@EACH
def test_on_every_path_each_step_is_one_that_the_rules_written_out_allow(seed, role):
    """Paths that nobody is expected to go (what could not be done, the impossible) included."""
    route, plain = compiled(seed, role)
    planner = Exhaustive(plain, OTHER_TREES)
    for _, node, here, _ in paths(route, planner):
        assert (node.kind, node.of) in planner.steps(here)


def sharp(seed):
    """Four causes, three checks that all but tell them: contradictions are soon improbable."""
    rng = Random(seed)
    causes = {f"cause-{n}": cause(rng.choice([10, 20, 30]), remedy(rng)) for n in range(4)}
    checks = {
        f"look-{n}": check(
            minutes=rng.choice([0.5, 1]),
            not_sure=0.012,
            expect={f"cause-{n}": {"one": 0.99}, "otherwise": {"two": 0.99}},
        )
        for n in range(3)
    }
    return model_of({"any_of": causes}, checks)


def remedy(rng):
    place = {"at": rng.choice(["wheels", "cab"])} if rng.random() < 0.4 else {}
    return do(minutes=rng.choice([5, 20, 40]), cures=rng.choice([0.6, 0.9, 0.99]), **place)


@pytest.mark.parametrize("seed", range(12))
def test_improbable_branches_take_the_cheapest_remedies_and_then_refer(seed):
    """From where a path falls under 1e-4: against every order of every set of remedies, then a referral.

    Without a limit of tries, under which the order by ratio is the rule yet not always the best.
    """
    model = sharp(seed)
    plain = plainly(model.tree)
    route, planner, closing = compile_route(model), Exhaustive(plain), Closing(plain)
    compared = 0
    for at, node, here, chance in paths(route, planner):
        if 0 < chance < IMPROBABLE and node.kind not in ("stop", "cured"):
            assert node.kind in ("remedy", "referral")
            assert to_come(route, closing, at, here) == pytest.approx(closing.value(here), rel=1e-9)
            compared += node.kind == "remedy"
    assert compared > 3


def to_come(route, planner, at, here):
    """What is still to be spent from a node, in a state."""
    node = route.nodes[at]
    if node.kind in ("referral", "handover"):
        return planner.value_of((node.kind, node.of), here)
    each = planner.plain.suspects[planner.plain.place(node.of)]
    spent = planner.cost(each) + planner.tree.cured_when.minutes + planner.access(each.places, here.been)
    chance, after = planner.after_failure(node.of, here)
    return spent + (chance * to_come(route, planner, node.edges["not-cured"].to, after) if chance else 0.0)


@pytest.mark.parametrize("role", ["owner", "technician"])
def test_a_tree_that_asks_an_owner_nothing_has_a_route_all_the_same(role):
    """Every check is a technician's; under 1e-4 the route closes as ever."""
    causes = {f"cause_{n}": cause(20, do(minutes=5 + n, cures=0.99)) for n in range(4)}
    model = model_of(faults(**causes), {"probe": check(by="technician", hands="tools")}, role)
    route = compile_route(model)
    planner = Exhaustive(plainly(model.tree, role))
    assert {node.kind for node in route.nodes} <= {"remedy", "referral", "cured", "check"}
    assert follow(route, planner.plain).cost() == pytest.approx(
        planner.value(Here(planner.plain.prior)), rel=1e-6
    )
