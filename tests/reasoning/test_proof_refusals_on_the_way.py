"""What a refusal says of what adds up on the way: cautions shown (rule 5), tries and the mains (rule 6).

And of how a walk ends (rule 7).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.graph import route_graph
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import _Most, prove
from diagnose.terms import CuredWhen
from tests.reasoning.broken_graphs import added, find, graph_and_model, lead, two_causes
from tests.reasoning.broken_routes import (
    ALL,
    changed_check,
    changed_remedy,
    heater,
    refused,
)
from tests.reasoning.by_hand import cause, check, do, faults, model_of
from tests.reasoning.made_up_trees import OTHER_TREES, made_up


@pytest.fixture
def two():
    return two_causes()


# Rule 5 ---------------------------------------------------------------------------------------------------


def test_5_every_caution_that_is_missing_is_named():
    model = heater()
    graph = route_graph(compile_route(model), model)
    more = build_model(replace(model.tree, cautions=("hot-surfaces", "gas")), other_trees=OTHER_TREES)
    graph.nodes[0]["cautions"] = ()
    assert str(refused(graph, more)) == (
        "the route breaks safety rule 5, a caution is not shown in time (gas, hot-surfaces): "
        "start > check smell-of-gas (look)"
    )


def test_5_a_check_under_a_hazard_needs_its_caution_before_anything_is_put_right():
    """Only the check is under it here: no remedy would miss the caution."""
    checks = {"turn": check(hands="controls", minutes=0.5, hazard="hot", expect={"fuse": {"one": 0.99}})}
    graph, model = graph_and_model(checks=checks, fuse=cause(50), pump=cause(40))
    at = find(graph, "check", "turn")
    (hot,) = graph.nodes[at]["cautions"]
    assert prove(graph, model) == ALL
    graph.nodes[at]["cautions"] = ()
    error = refused(graph, model)
    assert (error.rule, error.why) == (5, f"a caution is not shown in time ({hot})")
    assert error.path.endswith("> check turn (controls, hot)")


def test_5_the_path_told_is_one_that_never_shows_the_caution():
    found = 0
    for seed in range(10):
        model = build_model(made_up(seed), other_trees=OTHER_TREES)
        graph = route_graph(compile_route(model), model)
        for node in [node for _, node in graph.nodes(data=True)]:
            for caution in node["cautions"]:
                kept = node["cautions"]
                node["cautions"] = tuple(each for each in kept if each != caution)
                error = refused(graph, model)
                assert error.why == f"a caution is not shown in time ({caution})"
                here = {0}
                for step in error.path.split(" > ")[1:-1]:
                    shown = [graph.nodes[at]["cautions"] for at in here]
                    assert any(caution not in each for each in shown)
                    of, answer = step.split(": ")
                    here = {
                        to
                        for at in here
                        if graph.nodes[at]["of"] == of and caution not in graph.nodes[at]["cautions"]
                        for _, to, key in graph.out_edges(at, keys=True)
                        if key == answer
                    }
                found += bool(here)
                node["cautions"] = kept
    assert found > 5


def test_5_a_short_way_that_shows_the_caution_is_not_the_one_told():
    """By way of b the caution comes in time; by way of c and d, which is longer, it does not."""
    model = model_of(faults(a=cause(60), b=cause(20), c=cause(10), d=cause(5), e=cause(3, hazard="hot")))
    graph = route_graph(compile_route(model), model)
    (caution,) = graph.nodes[find(graph, "remedy", "e")]["cautions"]
    node = {of: find(graph, "remedy", of) for of in "abcde"}
    assert node["a"] == 0
    end, cured = find(graph, "referral", "workshop"), find(graph, "cured", "cured")

    def following(of, to):
        return added(graph, node[of], cured=cured, not_cured=to, could_not=to)

    last = following("e", end)
    graph.nodes[last]["cautions"] = ()
    short, long = following("b", last), following("c", following("d", last))
    graph.nodes[short]["cautions"] = (caution,)
    lead(graph, 0, {"could-not": short, "not-cured": long})
    error = refused(graph, model)
    assert error.why == f"a caution is not shown in time ({caution})"
    assert error.path == "start > a: not-cured > c: could-not > d: could-not > remedy e (look, hot)"


# Rule 6 ---------------------------------------------------------------------------------------------------


def test_6_the_path_told_is_one_that_uses_all_the_tries():
    """On routes of made-up trees that were compiled without tries, judged with fewer than they need."""
    found = 0
    for seed in range(14):
        tree = replace(made_up(seed), tries=None)
        free = build_model(tree, "technician", other_trees=OTHER_TREES)
        graph = route_graph(compile_route(free), free)
        for tries in range(most_starts(graph)):
            model = build_model(replace(tree, tries=tries), "technician", other_trees=OTHER_TREES)
            error = refused(graph, model)
            assert (error.rule, error.why) == (6, f"more than {tries} starts")
            *before, last = error.path.removeprefix("start > ").split(" > ")
            said = [step.split(": ") for step in before]
            starting = [of for of, answer in said if starts(tree, of) and answer != "could-not"]
            assert len(starting) == tries, error.path
            assert starts(tree, last.split()[1])
            found += 1
    assert found > 14


def starts(tree, of):
    return of not in tree.checks or tree.checks[of].starts


def most_starts(graph):
    """The most starts on any path, each path followed to its end."""
    from functools import cache

    @cache
    def most(at):
        node = graph.nodes[at]
        ways = [
            most(to) + (node["starts"] and answer != "could-not")
            for _, to, answer in graph.out_edges(at, keys=True)
        ]
        return max(ways, default=0)

    return most(0)


def test_6_of_two_paths_that_count_the_same_the_first_is_told():
    most = _Most([0, 1, 2, 3])
    most.pass_on(0, 1, "one", 1)
    most.pass_on(0, 2, "two", 1)
    most.pass_on(1, 3, "one", 0)
    most.pass_on(2, 3, "one", 0)
    assert most.count == {0: 0, 1: 1, 2: 1, 3: 1}
    assert most.steps_to(3) == [(0, "one"), (1, "one")]
    most.pass_on(2, 3, "could-not", 1)
    assert most.steps_to(3) == [(0, "one"), (1, "one")]
    most.pass_on(2, 3, "two", 1)
    assert most.steps_to(3) == [(0, "two"), (2, "two")]


def test_6_the_tries_may_be_used_up_to_the_last(two):
    graph, model = two
    for tries in (2, 3):
        enough = build_model(replace(model.tree, tries=tries))
        assert prove(graph, enough) == ALL
    one = build_model(replace(model.tree, tries=1))
    assert str(refused(graph, one)) == (
        "the route breaks safety rule 6, more than 1 starts: start > first: not-cured > remedy second (look)"
    )


def test_6_where_the_mains_are_restored_twice_the_path_goes_over_both(two):
    graph, model = two
    worse = changed_remedy(changed_remedy(model, "first", restores_mains=True), "second", restores_mains=True)
    assert str(refused(graph, worse)) == (
        "the route breaks safety rule 6, the mains are restored twice: "
        "start > first: not-cured > remedy second (look)"
    )


def test_6_what_could_not_be_done_has_restored_nothing():
    back = do(restores="mains")
    graph, model = graph_and_model(first=cause(60, back), second=cause(30, back))
    onward = {key: to for _, to, key in graph.out_edges(find(graph, "remedy", "first"), keys=True)}
    assert graph.nodes[onward["could-not"]]["of"] == "second"
    assert graph.nodes[onward["not-cured"]]["kind"] == "referral"
    assert prove(graph, model) == ALL


# Rule 7 ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("answer", ["not-cured", "could-not"])
def test_7_a_cure_that_nobody_was_asked_about_is_told_with_the_answer(two, answer):
    graph, model = two
    lead(graph, 1, {answer: find(graph, "cured", "cured")})
    assert str(refused(graph, model)) == (
        "the route breaks safety rule 7, a cure that nobody was asked about: "
        f"start > first: could-not > second: {answer} > cured cured"
    )


def test_7_a_cure_that_goes_on_is_told(two):
    graph, model = two
    lead(graph, 1, {"cured": find(graph, "referral", "workshop")})
    assert refused(graph, model).path == "start > first: could-not > second: cured > referral workshop"


def test_7_nothing_asked_before_a_cure_is_told(two):
    graph, model = two
    silent = build_model(replace(model.tree, cured_when=CuredWhen("")))
    assert str(refused(graph, silent)) == (
        "the route breaks safety rule 7, nothing is asked before a cure: start"
    )


def test_7_a_check_under_road_that_moves_the_vehicle():
    checks = {"turn": check(hands="controls", minutes=0.5, hazard="road", expect={"fuse": {"one": 0.99}})}
    graph, model = graph_and_model(checks=checks, fuse=cause(50), pump=cause(40))
    assert prove(graph, model) == ALL
    for where in ("ask", "how"):
        worse = changed_check(model, "turn", **{where: "Roll it forward a little"})
        assert str(refused(graph, worse)) == (
            "the route breaks safety rule 7, a step under road asks to move the vehicle: "
            "start > check turn (controls, road)"
        )


def test_7_a_cut_set_under_road_that_moves_the_vehicle():
    pair = {"says": "Both", "hazard": "road", "all_of": {"a": cause(30), "b": cause(30)}}
    model = model_of({"any_of": {"pair": pair, "c": cause(40)}})
    graph = route_graph(compile_route(model), model)
    assert prove(graph, model) == ALL
    for where in ("text", "how"):
        worse = changed_remedy(model, "b", **{where: "Undo it, then pull it back"})
        assert refused(graph, worse).path.endswith("> remedy a+b (look, road)")


def test_7_what_is_pulled_out_or_moved_where_no_road_is_near_goes():
    graph, model = graph_and_model(wheel=cause(50, hazard="road"), pump=cause(40))
    assert prove(graph, changed_remedy(model, "wheel", text="Pull out the pin")) == ALL
    assert prove(graph, changed_remedy(model, "pump", text="Move it aside")) == ALL


@pytest.mark.parametrize("word", ["drive", "move", "roll", "push", "tow", "pull"])
def test_7_every_word_for_moving_counts_wherever_a_clause_begins(word):
    graph, model = graph_and_model(wheel=cause(50, hazard="road"), pump=cause(40))
    for text in (
        f"{word.title()} it",
        f"Look; {word} it",
        f"Look: {word} it",
        f"Look, {word} it",
        f"Look and then {word} it",
    ):
        error = refused(graph, changed_remedy(model, "wheel", text=text))
        assert error.rule == 7, text
