"""Rule 3 in the proof, followed along single paths: where beliefs are followed, and who leads.

Each path is written down step by step and needs no route; where it must have referred is worked out by hand
beside it. Shares are those of the causes and of not-listed (5 in all these trees).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof_of_referring import (
    _HALF,
    _distinct,
    _Follower,
    _Rows,
    _Theirs,
    must_have_referred,
)
from diagnose.terms import COULD_NOT, NOT_CURED
from tests.reasoning.by_hand import cause, check, do
from tests.reasoning.single_paths import GAS, STARTING, broken_at, chain, made, restoring, suspected

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
