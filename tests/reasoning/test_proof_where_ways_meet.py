"""Rule 3 in the proof where two ways meet: what one of them has used up is not held against the other.

On the first way gas no longer leads and what is left of theirs is used up or barred; on the second gas leads.
Only if the second has itself used it up must the step where they meet be a referral.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from networkx import MultiDiGraph, topological_sort

from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof_of_referring import must_have_referred
from tests.reasoning.by_hand import cause, check, do, faults, model_of

OTHERS = {"fuse": {"two": 0.99}, "pump": {"two": 0.99}, "otherwise": {"two": 0.01}}
"""Of 60, 30, 5 and 5 (gas, fuse, pump, not listed) two leaves 0.6, 29.7, 4.95 and 0.05."""


def made(tries=None, **flame):
    """The one check of gas is the very first of the tree; nothing need be asked before."""
    tree = faults(
        blocked=cause(60, {"refer": "gas-engineer"}, hazard="gas"),
        fuse=cause(30, do(restores="mains")),
        pump=cause(5),
    )
    checks = {
        "flame": check(hands="controls", expect={"blocked": {"one": 0.5}}, **flame),
        "which": check(),
        "calm": check(expect=OTHERS),
        "run": check(starts=True),
        "plug": check(restores="mains"),
        "look": check(),
    }
    tree = model_of(tree, checks, ask_first=["smell-of-gas", "co-alarm"]).tree
    checks = {id: tree.checks[id] for id in checks}
    checks["age"] = replace(checks["look"], id="age", fact=True)
    return build_model(replace(tree, ask_first=(), tries=tries, checks=checks))


def broken(model, first, second):
    """The way to `remedy pump`, where two ways meet, by which a referral should have come; or None."""
    graph = MultiDiGraph(start=0)
    graph.add_node(0, kind="check", of="which")
    graph.add_node(1, kind="remedy", of="pump")
    for answer, way in (("one", first), ("two", second)):
        source, key = 0, answer
        for step in way:
            at, (kind, of, given) = len(graph), step.replace(":", "").split()
            graph.add_node(at, kind=kind, of=of)
            graph.add_edge(source, at, key=key)
            source, key = at, given
        graph.add_edge(source, 1, key=key)
    found = must_have_referred(graph, model, list(topological_sort(graph)))
    if found is None:
        return None
    assert found[1] == 1
    return [f"{graph.nodes[at]['of']}: {answer}" for at, answer in found[0]]


ASKED = ["check calm: two", "check flame: one"]
STARTED = ["check calm: two", "check run: one"]
RESTORED = ["check calm: two", "check plug: one"]


@pytest.mark.parametrize("other", ["check look: one", "check age: one", "remedy pump: could-not"])
def test_what_the_other_way_has_asked_is_left_on_this_one(other):
    model = made()
    assert broken(model, ASKED, [other]) is None
    assert broken(model, ASKED, [other, "check flame: one"]) == [
        "which: two",
        other.split(" ", 1)[1],
        "flame: one",
    ]


@pytest.mark.parametrize(
    "other", ["check look: one", "check plug: one", "check age: one", "remedy fuse: could-not"]
)
def test_a_try_used_on_the_other_way_is_not_used_on_this_one(other):
    model = made(tries=1, starts=True)
    assert broken(model, STARTED, [other]) is None
    assert broken(model, STARTED, [other, "check run: one"]) is not None


@pytest.mark.parametrize(
    "other", ["check look: one", "check run: one", "check age: one", "remedy fuse: could-not"]
)
def test_mains_restored_on_the_other_way_are_not_restored_on_this_one(other):
    model = made(restores="mains")
    assert broken(model, RESTORED, [other]) is None
    assert broken(model, RESTORED, [other, "check plug: one"]) is not None
    assert broken(model, RESTORED, ["remedy fuse: not-cured"]) == ["which: two", "fuse: not-cured"]


def test_of_two_ways_the_one_that_breaks_the_rule_is_told_whichever_comes_first():
    model = made()
    led = ["check look: one", "check flame: two"]
    told = ["look: one", "flame: two"]
    assert broken(model, ASKED, led) == ["which: two", *told]
    assert broken(model, led, ASKED) == ["which: one", *told]
    assert broken(model, ASKED, ASKED) is None


LONG = ["check look: one", "check calm: two", "remedy fuse: could-not", "check age: one"]


@pytest.mark.parametrize(
    ("more", "step"),
    [({}, "flame"), ({"tries": 1, "starts": True}, "run"), ({"restores": "mains"}, "plug")],
)
def test_a_longer_way_that_has_used_up_nothing_does_not_hide_a_shorter_that_has(more, step):
    model = made(**more)
    short = [f"check {step}: one"]
    assert broken(model, short, LONG) == ["which: one", f"{step}: one"]
    assert broken(model, LONG, short) == ["which: two", f"{step}: one"]
    assert broken(model, LONG, LONG) is None
