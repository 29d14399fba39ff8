"""Minimal cut sets against a truth table over all states, and the caps."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge import cut_sets
from diagnose.knowledge.cut_sets import TooManyCutSets, inputs_first, minimal_cut_sets


@st.composite
def fault_graphs(draw):
    """Causes, and gates whose inputs are causes and earlier gates, shared at will; the last is the top."""
    causes = [f"c{n}" for n in range(draw(st.integers(1, 8)))]
    gates = dict.fromkeys(causes, (None, ()))
    for n in range(draw(st.integers(1, 8))):
        inputs = draw(st.lists(st.sampled_from(list(gates)), min_size=1, max_size=4, unique=True))
        gates[f"g{n}"] = (draw(st.sampled_from(["any_of", "all_of"])), tuple(inputs))
    return gates, list(gates)[-1], causes


def holds(gates, event, present):
    """Whether an event holds when just these causes are present."""
    gate, inputs = gates[event]
    if gate is None:
        return event in present
    return (any if gate == "any_of" else all)(holds(gates, one, present) for one in inputs)


@given(fault_graphs())
def test_the_top_holds_just_when_a_cut_set_is_wholly_present(graph):
    gates, top, causes = graph
    sets = [set(causes_) for causes_ in minimal_cut_sets(gates, top, causes)]
    for state in product([False, True], repeat=len(causes)):
        present = {cause for cause, there in zip(causes, state, strict=True) if there}
        assert holds(gates, top, present) == any(one <= present for one in sets)


@given(fault_graphs())
def test_no_cut_set_holds_another_and_their_order_is_that_of_the_causes(graph):
    gates, top, causes = graph
    sets = minimal_cut_sets(gates, top, causes)
    assert not any(set(one) < set(other) for one in sets for other in sets)
    places = [[causes.index(cause) for cause in one] for one in sets]
    assert places == sorted(places)
    assert all(one == sorted(set(one)) for one in places)


@given(fault_graphs(), st.randoms(use_true_random=False))
def test_the_order_of_inputs_makes_no_difference(graph, random):
    gates, top, causes = graph
    shuffled = {
        event: (gate, tuple(random.sample(inputs, len(inputs)))) for event, (gate, inputs) in gates.items()
    }
    assert minimal_cut_sets(shuffled, top, causes) == minimal_cut_sets(gates, top, causes)


def test_an_event_of_its_own_can_be_asked_for():
    gates = {
        "top": ("any_of", ("pair", "c")),
        "pair": ("all_of", ("a", "b")),
        "a": (None, ()),
        "b": (None, ()),
        "c": (None, ()),
    }
    assert minimal_cut_sets(gates, "pair", ["a", "b", "c"]) == (("a", "b"),)
    assert minimal_cut_sets(gates, "c", ["a", "b", "c"]) == (("c",),)


def _and_of_ors(width, depth):
    gates = {f"x{n}-{m}": (None, ()) for n in range(depth) for m in range(width)}
    causes = list(gates)
    gates |= {f"or{n}": ("any_of", tuple(f"x{n}-{m}" for m in range(width))) for n in range(depth)}
    gates["burst"] = ("all_of", tuple(f"or{n}" for n in range(depth)))
    gates["top"] = ("any_of", ("burst",))
    return gates, causes


def test_as_many_as_allowed_are_given_and_one_more_names_its_gate():
    gates, causes = _and_of_ors(10, 3)  # an AND of 3 ORs of 10 has 10^3 sets
    assert len(minimal_cut_sets(gates, "top", causes, most=1000)) == 1000
    with pytest.raises(TooManyCutSets) as refused:
        minimal_cut_sets(gates, "top", causes, most=999)
    assert refused.value.gate == "burst"
    assert str(refused.value) == '"burst" has more minimal cut sets than can be handled (999 at most)'


def test_a_burst_is_met_before_it_takes_memory():
    gates, causes = _and_of_ors(10, 40)
    with pytest.raises(TooManyCutSets, match='"burst" has more minimal cut sets'):
        minimal_cut_sets(gates, "top", causes)


def test_work_is_capped_as_well(monkeypatch):
    monkeypatch.setattr(cut_sets, "_MOST_WORK", 500)
    gates, causes = _and_of_ors(10, 3)
    with pytest.raises(TooManyCutSets, match='"burst" has more minimal cut sets'):
        minimal_cut_sets(gates, "top", causes)


def test_a_long_chain_needs_no_recursion():
    gates = {f"g{n}": ("any_of", (f"g{n + 1}",)) for n in range(20_000)} | {"g20000": (None, ())}
    assert minimal_cut_sets(gates, "g0", ["g20000"]) == (("g20000",),)
    assert inputs_first(gates, "g0")[0] == "g20000"


def test_a_lattice_of_shared_events_is_gone_through_once():
    gates = {f"g{n}": ("any_of", (f"g{n + 1}", f"h{n + 1}")) for n in range(60)}
    gates |= {f"h{n}": ("all_of", (f"g{n + 1}", f"h{n + 1}")) for n in range(60)}
    gates |= {"g60": (None, ()), "h60": (None, ())}
    assert minimal_cut_sets(gates, "g0", ["g60", "h60"]) == (("g60",), ("h60",))
