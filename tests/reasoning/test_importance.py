"""How much each cause matters where gates come in.

Sources, cited from memory: Birnbaum 1969; Fussell & Vesely (the measure: Fussell 1975); the small tree with
its table is a worked example done by a separate plain implementation, its chances .02, .10, .05, .04, .30;
the pressure tank of the Fault Tree Handbook, NUREG-0492, 1981, chapter VIII, which gives K2 86 % and T 14 %
of the total. Everything else is held against a sum over all states.
"""

from __future__ import annotations

from itertools import product
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.cut_sets import minimal_cut_sets
from diagnose.reasoning import importance as module
from diagnose.reasoning.importance import TooEntangled, chance_of_any, importance

LEAF = (None, ())
SMALL = {
    "top": ("any_of", ("f", "g1", "g3")),
    "g1": ("all_of", ("b", "g2")),
    "g2": ("any_of", ("s", "w")),
    "g3": ("all_of", ("b", "s", "k")),
    **dict.fromkeys("fbswk", LEAF),
}
CHANCES = {"f": 0.02, "b": 0.10, "s": 0.05, "w": 0.04, "k": 0.30}


def test_the_worked_example():
    cut_sets = minimal_cut_sets(SMALL, "top", list("fbswk"))
    top, of = importance(cut_sets, CHANCES)
    assert top == pytest.approx(0.028624, abs=5e-7)
    assert [of[id].birnbaum for id in "fbswk"] == pytest.approx(
        [0.991200, 0.086240, 0.094080, 0.093100, 0], abs=5e-7
    )
    assert [of[id].fussell_vesely for id in "fswk"] == pytest.approx(
        [0.698714, 0.174679, 0.139743, 0], abs=5e-7
    )
    # The example's figure for b takes its two cut sets as independent, 1 - (1 - P(bs)) (1 - P(bw)), though
    # both hold b; exactly it is P(b) P(s or w) over the total.
    apart = 1 - (1 - CHANCES["b"] * CHANCES["s"]) * (1 - CHANCES["b"] * CHANCES["w"])
    assert apart / top == pytest.approx(0.313723, abs=5e-7)
    s_or_w = 1 - (1 - CHANCES["s"]) * (1 - CHANCES["w"])
    assert of["b"].fussell_vesely == pytest.approx(CHANCES["b"] * s_or_w / top, abs=1e-12)


def test_the_pressure_tank_of_the_handbook():
    cut_sets = [("T",), ("K2",), ("S", "S1"), ("S", "K1"), ("S", "R")]
    chances = {"T": 5e-6, "K2": 3e-5, "K1": 3e-5, "S1": 3e-5, "S": 1e-4, "R": 1e-4}
    top, of = importance(cut_sets, chances)
    assert top == pytest.approx(3.4e-5, rel=0.05)
    assert of["K2"].fussell_vesely == pytest.approx(0.86, abs=0.005)
    assert of["T"].fussell_vesely == pytest.approx(0.14, abs=0.005)


def over_all_states(cut_sets, chances):
    """P(some cut set is whole), by going through every state."""
    causes = list(chances)
    total = 0.0
    for there in product((False, True), repeat=len(causes)):
        present = {cause for cause, is_there in zip(causes, there, strict=True) if is_there}
        if any(set(each) <= present for each in cut_sets):
            total += prod(chances[c] if c in present else 1 - chances[c] for c in causes)
    return total


SETS = st.lists(st.sets(st.sampled_from("abcdef"), min_size=1, max_size=4), max_size=7)
CHANCE = st.floats(0, 1, allow_subnormal=False)


@given(SETS, st.fixed_dictionaries(dict.fromkeys("abcdef", CHANCE)))
def test_chances_are_those_of_a_sum_over_all_states(sets, chances):
    found = chance_of_any([frozenset(each) for each in sets], chances)
    assert found == pytest.approx(over_all_states(sets, chances), abs=1e-12)


@given(SETS.filter(bool), st.fixed_dictionaries(dict.fromkeys("abcdef", st.floats(0.01, 0.99))))
def test_measures_lie_between_nought_and_one_and_a_cause_in_no_set_has_none(sets, chances):
    top, of = importance([tuple(each) for each in sets], chances)
    for cause, each in of.items():
        assert -1e-12 <= each.birnbaum <= 1 + 1e-12
        assert -1e-12 <= each.fussell_vesely <= 1 + 1e-12
        held = any(cause in one for one in sets)
        assert (each.fussell_vesely > 0) == held
        # By definition: P = p B + P(without), so the cause alone cannot give more than there is.
        assert chances[cause] * each.birnbaum <= top + 1e-12


def test_no_cut_set_at_all_is_never(monkeypatch):
    assert importance([], {"a": 0.5}) == (0.0, {"a": module.Importance(0.0, 0.0)})


def test_what_is_too_entangled_is_given_up_and_not_guessed(monkeypatch):
    monkeypatch.setattr(module, "MOST_STATES", 3)
    with pytest.raises(TooEntangled):
        chance_of_any(
            [frozenset(pair) for pair in ("ab", "bc", "cd", "de", "ef")], dict.fromkeys("abcdef", 0.5)
        )
