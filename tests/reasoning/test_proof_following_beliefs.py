"""Rule 3 in the proof, followed along single paths: what has been used up, what is barred, who leads.

Each path is written down step by step and needs no route; where it must have referred is worked out by hand
beside it. Shares are those of the causes and of not-listed (5 in all these trees).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from networkx import MultiDiGraph, topological_sort

from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof_of_referring import (
    _HALF,
    _distinct,
    _Follower,
    _Rows,
    _suspects,
    _Theirs,
    must_have_referred,
)
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE
from tests.reasoning.by_hand import cause, check, do, faults, gate, model_of

REFER = {"refer": "gas-engineer"}
GAS = {"hands": "controls", "expect": {"blocked": {"one": 0.5}}}
"""A check of the gas cause that tells next to nothing."""


def made(checks=None, role="owner", ask_first=(), tries=None, **causes):
    """A model whose fixed questions and tries are those of the test, not those that gas asks for."""
    causes = causes or {"blocked": cause(60, REFER, hazard="gas"), "fuse": cause(30), "pump": cause(5)}
    model = model_of(faults(**causes), checks, ask_first=["smell-of-gas", "co-alarm"])
    return build_model(replace(model.tree, ask_first=tuple(ask_first), tries=tries), role)


def chain(*steps, more=()):
    """The graph of `check flame: one`, `remedy fuse` and so on, and of (from, to, answer) besides."""
    graph = MultiDiGraph(start=0)
    for at, step in enumerate(steps):
        step, _, answer = step.partition(": ")
        kind, _, of = step.partition(" ")
        graph.add_node(at, kind=kind, of=of)
        if answer:
            graph.add_edge(at, at + 1, key=answer)
    for source, to, answer in more:
        graph.add_edge(source, to, key=answer)
    return graph


def broken_at(model, *steps, more=()):
    """The step that should have been a referral, or None; the path must be the whole way to it."""
    graph = chain(*steps, more=more)
    found = must_have_referred(graph, model, list(topological_sort(graph)))
    if found is None:
        return None
    path, at = found
    if not more:
        assert path == [(before, steps[before].partition(": ")[2]) for before in range(at)]
    return f"{graph.nodes[at]['kind']} {graph.nodes[at]['of']}"


def suspected(model, *steps, more=()):
    """The nodes at which nothing of theirs may be left on some path: only there are beliefs looked at."""
    from diagnose.reasoning.proof_of_referring import _step_bits, _theirs

    graph = chain(*steps, more=more)
    bits, starting, restoring = _step_bits(model)
    theirs = [_theirs(model, bits, "gas")]
    return _suspects(graph, model, list(topological_sort(graph)), bits, starting, restoring, theirs)


# What is used up ------------------------------------------------------------------------------------------


def test_the_step_after_the_last_of_theirs_must_be_a_referral():
    model = made({"flame": check(**GAS), "look": check()})
    assert broken_at(model, "check look: one", "check flame: one", "remedy fuse") == "remedy fuse"
    assert broken_at(model, "check look: one", "check flame: one", "referral workshop") is None
    assert broken_at(model, "check look: one", "remedy fuse: not-cured", "check flame") is None


def test_each_check_of_theirs_is_left_until_it_is_asked():
    model = made({"flame": check(**GAS), "smell": check(**GAS), "look": check()})
    assert broken_at(model, "check flame: one", "remedy fuse") is None
    assert broken_at(model, "check smell: one", "remedy fuse") is None
    assert broken_at(model, "check smell: one", "check flame: one", "check look") == "check look"


def test_checks_of_several_causes_under_gas_are_all_theirs():
    two = {
        "first": cause(35, REFER, hazard="gas"),
        "second": cause(30, REFER, hazard="gas"),
        "fuse": cause(30),
    }
    checks = {
        "one-of-them": check(hands="controls", expect={"first": {"one": 0.5}}),
        "the-other": check(hands="controls", expect={"second": {"one": 0.5}}),
        "look": check(),
    }
    model = made(checks, **two)
    assert broken_at(model, "check one-of-them: one", "check look") is None
    assert broken_at(model, "check the-other: one", "check look") is None
    assert broken_at(model, "check one-of-them: one", "check the-other: one", "check look") == "check look"


def test_a_check_of_an_event_above_a_cause_under_gas_is_theirs():
    branch = gate("any_of", blocked=cause(60, REFER, hazard="gas"), pump=cause(5))
    model = made(
        {"flame": check(hands="controls", expect={"branch": {"one": 0.5}}), "look": check()},
        branch=branch,
        fuse=cause(30),
    )
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "check flame: one", "check look") == "check look"


def test_a_step_that_is_nothing_of_theirs_is_not_left_for_them():
    """The very first check of the file too: its bit is the lowest."""
    model = made({"look": check(), "flame": check(**GAS)})
    assert broken_at(model, "check flame: one", "remedy fuse") == "remedy fuse"


def test_remedies_are_told_apart_however_many_there_are():
    theirs = {f"gas-{n}": cause(15, hazard="gas") for n in range(4)}
    others = {f"other-{n}": cause(5) for n in range(3)}
    model = made(**theirs, **others)
    tried = [f"remedy gas-{n}: could-not" for n in range(4)]
    for left in range(4):
        way = [step for n, step in enumerate(tried) if n != left]
        assert broken_at(model, *way, "remedy other-0: could-not", "remedy other-1") is None
    assert broken_at(model, *tried, "remedy other-0") == "remedy other-0"


def test_a_fact_on_the_way_uses_up_nothing():
    """Facts have no bit; the first check of the file, which is all that is theirs, stays to be asked."""
    model = made({"flame": check(**GAS), "look": check()})
    fact = replace(model.tree.checks["look"], id="age", fact=True)
    model = build_model(replace(model.tree, checks={**model.tree.checks, "age": fact}))
    assert "age" in model.tree.checks
    flame = ["check age: one", "remedy fuse"]
    assert broken_at(model, *flame) is None
    assert broken_at(model, "check age: one", "check smell-of-gas: no", "check flame: one", "check look")
    assert suspected(model, *flame) == set()
    first = replace(model.tree.checks["smell-of-gas"], hands="controls", expect={"blocked": {"no": 0.5}})
    lowest = {"smell-of-gas": first, "age": fact}
    model = build_model(replace(model.tree, checks=lowest))
    assert broken_at(model, *flame) is None
    assert suspected(model, *flame) == set()


def test_nothing_is_asked_before_the_fixed_questions_are_done():
    """They come whatever leads; the step after them is the first that may break the rule."""
    model = made({"look": check()}, ask_first=["smell-of-gas", "co-alarm"])
    way = ["check smell-of-gas: no", "check co-alarm: quiet", "remedy fuse"]
    assert broken_at(model, *way) == "remedy fuse"
    assert broken_at(model, *way[:2], "referral workshop") is None


# Who may do what ------------------------------------------------------------------------------------------


def test_what_is_for_a_technician_is_left_for_a_technician_alone():
    checks = {"flame": check(**GAS, by="technician"), "look": check()}
    assert broken_at(made(checks), "remedy fuse") == "remedy fuse"
    assert broken_at(made(checks, "technician"), "remedy fuse") is None


def test_a_check_with_tools_is_not_left():
    model = made({"flame": check(**GAS), "look": check()})
    tools = {**model.tree.checks, "flame": replace(model.tree.checks["flame"], hands="tools")}
    assert broken_at(model, "remedy fuse") is None
    assert broken_at(build_model(replace(model.tree, checks=tools)), "remedy fuse") == "remedy fuse"


def test_a_remedy_with_tools_is_not_left():
    model = made(empty=cause(60, do(hands="controls"), hazard="gas"), fuse=cause(30))
    assert broken_at(model, "remedy fuse") is None
    empty = model.tree.events["empty"]
    events = {**model.tree.events, "empty": replace(empty, remedy=replace(empty.remedy, hands="tools"))}
    assert broken_at(build_model(replace(model.tree, events=events)), "remedy fuse") == "remedy fuse"


# What rule 6 bars is not left -----------------------------------------------------------------------------


STARTING = {"flame": check(**GAS, starts=True), "run": check(starts=True), "look": check()}


@pytest.mark.parametrize("answer", ["one", NOT_SURE])
def test_a_check_that_starts_it_is_not_left_once_the_tries_are_used_up(answer):
    way = [f"check run: {answer}", "check look"]
    assert broken_at(made(STARTING, tries=1), *way) == "check look"
    assert broken_at(made(STARTING, tries=2), *way) is None
    assert broken_at(made(STARTING), *way) is None


def test_a_trial_of_a_remedy_uses_a_try_unless_it_could_not_be_done():
    model = made(STARTING, tries=1)
    assert broken_at(model, "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "check look: one", "remedy fuse") is None


def test_tries_add_up_along_a_path():
    model = made(STARTING, tries=2)
    assert broken_at(model, "check run: one", "check look: one", "remedy fuse") is None
    assert broken_at(model, "check run: one", "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: not-cured", "remedy pump: not-cured", "check look") == "check look"


def test_every_remedy_of_theirs_is_a_start_that_the_tries_may_bar():
    model = made(
        {"look": check(), "run": check(starts=True)},
        tries=1,
        first=cause(30, hazard="gas"),
        second=cause(30, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(model, "check look: one", "remedy fuse") is None
    assert broken_at(model, "check run: one", "check look") == "check look"


RESTORING = {
    "flame": check(**GAS, restores="mains"),
    "plug": check(restores="mains"),
    "look": check(),
}


def restoring():
    back = do(restores="mains")
    return made(RESTORING, blocked=cause(60, REFER, hazard="gas"), fuse=cause(20, back), pump=cause(10))


def test_what_restores_the_mains_is_not_left_once_they_are_restored():
    model = restoring()
    assert broken_at(model, "check plug: one", "check look") == "check look"
    assert broken_at(model, "check plug: not-sure", "remedy pump: could-not", "check look") == "remedy pump"
    assert broken_at(model, "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: not-cured", "remedy pump: could-not", "check look") == "remedy pump"


def test_what_could_not_be_done_and_what_restores_nothing_leave_the_mains_to_be_restored():
    model = restoring()
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "remedy pump: not-cured", "check look") is None
    assert broken_at(model, "check look: one", "remedy pump") is None


def test_each_remedy_of_theirs_that_restores_the_mains_is_barred_by_another():
    back = do(restores="mains")
    model = made(
        {"look": check(), "plug": check(restores="mains")},
        first=cause(30, back, hazard="gas"),
        second=cause(30, back, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(model, "check look: one", "remedy fuse") is None
    assert broken_at(model, "check plug: one", "check look") == "check look"
    free = made(
        {"look": check(), "plug": check(restores="mains")},
        first=cause(30, back, hazard="gas"),
        second=cause(30, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(free, "check plug: one", "check look") is None


# Only where something may be broken are beliefs followed ---------------------------------------------------


def test_only_nodes_with_nothing_of_theirs_left_on_some_path_are_suspected():
    model = made({"look": check(), "flame": check(**GAS), "turn": check()})
    assert suspected(model, "check look: one", "check turn: one", "remedy fuse") == set()
    assert suspected(model, "check flame: one", "check look: one", "remedy fuse") == {1, 2}
    assert suspected(model, "check flame: one", "check look: one", "handover another-tree") == {1, 2}
    assert suspected(model, "check flame: one", "check look: one", "referral workshop") == {1}
    lowest = made({"flame": check(**GAS), "look": check()})
    lowest = build_model(
        replace(lowest.tree, checks={id: lowest.tree.checks[id] for id in ("flame", "look")})
    )
    assert suspected(lowest, "check look: one", "remedy fuse: not-cured", "remedy pump") == set()


def test_a_node_where_two_ways_meet_is_suspected_for_either():
    model = made({"look": check(), "flame": check(**GAS), "turn": check()})
    steps = ["check look: one", "check flame: one", "remedy fuse: not-cured", "check turn"]
    assert suspected(model, *steps, more=[(0, 2, "two")]) == {2, 3}
    assert suspected(model, *steps, more=[(0, 3, "two")]) == {2, 3}
    assert broken_at(model, *steps, more=[(0, 2, "two")]) == "remedy fuse"
    other = ["check look: one", "check turn: one", "remedy fuse: not-cured", "remedy pump"]
    assert suspected(model, *other, more=[(0, 2, "two")]) == set()


def test_what_the_tries_bar_is_suspected_from_the_step_on_that_used_the_last():
    way = ["check run: one", "remedy fuse: not-cured", "check look: one", "remedy pump"]
    assert suspected(made(STARTING, tries=1), *way) == {1, 2, 3}
    assert suspected(made(STARTING, tries=2), *way) == {2, 3}
    assert suspected(made(STARTING, tries=3), *way) == set()
    assert suspected(made(STARTING), *way) == set()
    undone = ["remedy fuse: could-not", "check look: one", "remedy pump"]
    assert suspected(made(STARTING, tries=1), *undone) == set()
    assert suspected(made(STARTING, tries=1), "check look: one", "remedy fuse: not-cured", "remedy pump") == {
        2
    }


def test_what_restores_the_mains_is_suspected_once_they_are_restored_on_some_way():
    model = restoring()
    assert suspected(model, "check plug: one", "check look: one", "remedy pump") == {1, 2}
    assert suspected(model, "check look: one", "remedy pump: not-cured", "remedy fuse") == set()
    assert suspected(model, "remedy fuse: could-not", "check look: one", "remedy pump") == set()
    steps = ["check look: one", "check plug: one", "remedy pump: not-cured", "remedy fuse"]
    assert suspected(model, *steps, more=[(0, 2, "two")]) == {2, 3}


def test_the_steps_barred_add_up():
    """One of theirs was asked, the tries bar one, the mains being back one: nothing is left."""
    checks = {
        "flame": check(**GAS),
        "ignite": check(**GAS, starts=True),
        "plug-in": check(**GAS, restores="mains"),
        "look": check(),
        "run": check(starts=True),
        "plug": check(restores="mains"),
    }
    model = made(checks, tries=1)
    way = ["check flame: one", "check run: one", "check plug: one"]
    assert suspected(model, *way, "check look") == {3}
    assert broken_at(model, *way, "check look") == "check look"
    for missing in range(3):
        fewer = [step for at, step in enumerate(way) if at != missing]
        assert suspected(model, *fewer, "check look") == set()
        assert broken_at(model, *fewer, "check look") is None


# Beliefs --------------------------------------------------------------------------------------------------


def test_more_than_half_is_more_than_half_by_more_than_rounding():
    model = made()
    follower = _Follower(chain("remedy fuse"), model, {}, 0, 0)
    gas = [_Theirs(np.array([True, False]), 0)]

    def broken(share):
        none = np.zeros(1, dtype=np.int64)
        belief = np.array([[share, 1 - share]])
        return follower.broken(_Rows(belief, none, none, np.zeros(1, dtype=bool), [None]), gas)

    assert broken(0.5) is None
    assert broken(_HALF) is None
    assert broken(_HALF + 1e-12) == 0
    assert broken(0.500001) == 0


def test_findings_that_nothing_allows_leave_nothing_that_leads():
    """As where the cause is not listed; no division by nought on the way."""
    certain = {"expect": {id: {"one": 1} for id in ("blocked", "fuse", "pump", "otherwise")}}
    model = made({"flame": check(**GAS), "never": check(**certain), "look": check()})
    rows = np.zeros_like(model.rows["never"])
    rows[:, 0] = 1.0
    model = replace(model, rows={**model.rows, "never": rows})
    way = ["check flame: one", "check never: two", "check look: one", "remedy fuse"]
    with np.errstate(all="raise"):
        assert broken_at(model, *way[1:]) is None
        graph = chain("check never: two", "check flame: one", "check look: one", "remedy fuse")
        assert must_have_referred(graph, model, list(graph)) is None
    assert broken_at(model, "check never: one", "check flame: one", "check look") == "check look"


def rows_of(*rows):
    """Rows of (beliefs, used, starts, restored), their origins numbered."""
    beliefs, used, starts, restored = zip(*rows, strict=True)
    return _Rows(
        np.array(beliefs),
        np.array(used, dtype=np.int64),
        np.array(starts, dtype=np.int64),
        np.array(restored, dtype=bool),
        [(at, 0, "one") for at in range(len(rows))],
    )


def test_equal_states_are_one_and_all_others_are_kept_with_the_way_that_they_came():
    half = [0.5, 0.5]
    first = rows_of((half, 1, 0, False), (half, 1, 0, True), (half, 1, 0, False))
    second = rows_of((half, 1, 1, False), ([0.5 + 1e-8, 0.5 - 1e-8], 1, 0, False), (half, 2, 0, False))
    one = _distinct([first, second])
    assert one.used.tolist() == [1, 1, 1, 1, 2]
    assert one.starts.tolist() == [0, 0, 1, 0, 0]
    assert one.restored.tolist() == [False, True, False, False, False]
    assert one.belief[:, 0].tolist() == [0.5, 0.5, 0.5, 0.5 + 1e-8, 0.5]
    assert one.origin == [first.origin[0], first.origin[1], *second.origin]


def test_beliefs_that_differ_by_rounding_are_one():
    assert len(_distinct([rows_of(([0.3, 0.7], 1, 0, False), ([0.1 + 0.2, 0.7], 1, 0, False))]).used) == 1


def test_steps_up_to_the_sixtieth_are_told_apart():
    """A floating-point number has 53 bits."""
    far = 2**59
    assert _distinct([rows_of(([1.0], far, 0, False), ([1.0], far + 1, 0, False))]).used.tolist() == [
        far,
        far + 1,
    ]


def test_a_remedy_that_failed_leaves_its_cause_what_it_may_have_missed():
    """Gas holds 60 of 100, its remedy cures nine in ten: 6 of 46 after it has failed, 60 where not done."""
    model = made({"look": check()}, empty=cause(60, do(cures=0.9), hazard="gas"), fuse=cause(35))
    assert broken_at(model, f"remedy empty: {COULD_NOT}", "remedy fuse") == "remedy fuse"
    assert broken_at(model, f"remedy empty: {NOT_CURED}", "remedy fuse") is None
