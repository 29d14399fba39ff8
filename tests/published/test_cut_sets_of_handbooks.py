"""Minimal cut sets of fault trees that the handbooks of the nuclear and the space agency print.

Sources, all cited from memory:

- Fault Tree Handbook, NUREG-0492, U.S. Nuclear Regulatory Commission, 1981, chapter VII: the sample tree
  with repeated events that is solved top-down and bottom-up to T = C + A.B.
- The same, chapter VIII: rupture of a pressure tank, with five minimal cut sets and these chances of the
  basic events: T 5e-6; K2, K1 and S1 3e-5; S and R 1e-4; of the total, K2 has 86 % and T 14 %. The tank is an
  example also in NASA's Fault Tree Handbook with Aerospace Applications, version 1.1, 2002.
- That NASA handbook: the hypothetical computer system (processors with a spare, five memories of which three
  are needed behind two interface units, two buses, console and software), its spare taken as a plain AND. The
  structure is the handbook's; its cut sets are judged here by a truth table over all states.
"""

from __future__ import annotations

from itertools import combinations, product
from math import prod

import pytest

from diagnose.knowledge.cut_sets import minimal_cut_sets

LEAF = (None, ())


def with_leaves(gates):
    """The gates, and every input that has none as a basic event; with the order in which they are met."""
    every = dict(gates)
    for _, inputs in gates.values():
        for name in inputs:
            every.setdefault(name, LEAF)
    return every


def solved(gates, top):
    every = with_leaves(gates)
    return {frozenset(cut) for cut in minimal_cut_sets(every, top, list(every))}


def holds(gates, event, present):
    gate, inputs = gates[event]
    if gate is None:
        return event in present
    states = [holds(gates, name, present) for name in inputs]
    return any(states) if gate == "any_of" else all(states)


SAMPLE = {
    "T": ("all_of", ("E1", "E2")),
    "E1": ("any_of", ("A", "E3")),
    "E3": ("any_of", ("B", "C")),
    "E2": ("any_of", ("C", "E4")),
    "E4": ("all_of", ("A", "B")),
}

PRESSURE_TANK = {
    "E1": ("any_of", ("T", "E2")),
    "E2": ("any_of", ("E3", "K2")),
    "E3": ("all_of", ("S", "E4")),
    "E4": ("any_of", ("S1", "E5")),
    "E5": ("any_of", ("K1", "R")),
}

MEMORIES = ("m1", "m2", "m3", "m4", "m5")
COMPUTER = {
    "system": ("any_of", ("processors", "memory", "buses", "console", "software", "operator")),
    "processors": ("all_of", ("p1", "p2", "spare")),
    "buses": ("all_of", ("b1", "b2")),
    "no-m1": ("any_of", ("m1", "unit1")),
    "no-m2": ("any_of", ("m2", "unit1")),
    "no-m3": ("any_of", ("m3", "both-units")),
    "both-units": ("all_of", ("unit1", "unit2")),
    "no-m4": ("any_of", ("m4", "unit2")),
    "no-m5": ("any_of", ("m5", "unit2")),
    **{
        "three-" + "-".join(three): ("all_of", tuple(f"no-{memory}" for memory in three))
        for three in combinations(MEMORIES, 3)
    },
    "memory": ("any_of", tuple("three-" + "-".join(three) for three in combinations(MEMORIES, 3))),
}


def test_the_sample_tree_with_repeated_events_is_c_or_a_and_b():
    assert solved(SAMPLE, "T") == {frozenset("C"), frozenset("AB")}


def test_the_pressure_tank_has_its_five_minimal_cut_sets():
    assert solved(PRESSURE_TANK, "E1") == {
        frozenset({"T"}),
        frozenset({"K2"}),
        frozenset({"S", "S1"}),
        frozenset({"S", "K1"}),
        frozenset({"S", "R"}),
    }


def test_the_relay_contact_and_the_tank_itself_have_the_handbooks_parts_in_a_rupture():
    chance = {"T": 5e-6, "K2": 3e-5, "K1": 3e-5, "S1": 3e-5, "S": 1e-4, "R": 1e-4}
    parts = {cut: prod(chance[name] for name in cut) for cut in solved(PRESSURE_TANK, "E1")}
    percent = {cut: round(100 * part / sum(parts.values())) for cut, part in parts.items()}
    assert percent.pop(frozenset({"K2"})) == 86
    assert percent.pop(frozenset({"T"})) == 14
    assert set(percent.values()) == {0}


def test_the_computer_fails_with_two_units_or_with_one_unit_and_a_memory_of_the_other():
    cuts = solved(COMPUTER, "system")
    assert {frozenset({name}) for name in ("console", "software", "operator")} <= cuts
    assert {frozenset({"b1", "b2"}), frozenset({"p1", "p2", "spare"}), frozenset({"unit1", "unit2"})} <= cuts
    assert {frozenset({"unit1", memory}) for memory in ("m3", "m4", "m5")} <= cuts
    assert {frozenset({"unit2", memory}) for memory in ("m1", "m2", "m3")} <= cuts
    assert {frozenset(three) for three in combinations(MEMORIES, 3)} <= cuts
    assert len(cuts) == 3 + 3 + 6 + 10


@pytest.mark.parametrize(
    ("gates", "top"), [(SAMPLE, "T"), (PRESSURE_TANK, "E1"), (COMPUTER, "memory"), (COMPUTER, "processors")]
)
def test_the_top_event_holds_just_where_a_cut_set_is_wholly_present(gates, top):
    every = with_leaves(gates)
    leaves = [name for name, (gate, _) in every.items() if gate is None]
    used = [name for name in leaves if any(name in cut for cut in solved(gates, top))]
    cuts = solved(gates, top)
    for state in product((False, True), repeat=len(used)):
        present = {name for name, there in zip(used, state, strict=True) if there}
        assert holds(every, top, present) == any(cut <= present for cut in cuts), present
