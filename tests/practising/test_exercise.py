"""Codes of exercises lead back to the same exercise, and to no other tree's."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.codes import WrongCode
from diagnose.cli import practise as command_line
from diagnose.practising.exercise import SEEDS, Exercise, OtherFigures, figures_tag, unpacked
from tests.practising.by_hand import stove


@given(st.integers(0, SEEDS - 1), st.integers(0, 4))
def test_a_code_of_four_groups_at_most_leads_back_to_the_exercise(seed, fault):
    exercise = Exercise(stove(), seed, fault)
    code = exercise.code()
    assert len(code.split("-")) <= 4
    read = unpacked(code.lower().replace("-", " "))
    assert read.of_symptom(["by-hand", "another"]) == ("by-hand",)
    again = read.with_model(stove())
    assert (again.seed, again.fault) == (seed, fault)


def test_two_exercises_with_one_fault_do_not_look_alike():
    begins = {Exercise(stove(), seed, 2).code()[:4] for seed in range(50_000, 50_020)}
    assert len(begins) > 3


def test_a_tree_with_other_figures_is_refused():
    model = stove()
    dearer = replace(model, checks=(replace(model.checks[0], cost=7.0), *model.checks[1:]))
    assert figures_tag(dearer) != figures_tag(model)
    with pytest.raises(OtherFigures, match='made with other figures of "by-hand"'):
        unpacked(Exercise(model, 5, 1).code()).with_model(dearer)


def test_texts_may_change_without_a_trace():
    model = stove()
    said = replace(model.hypotheses[0], says="Said in other words")
    assert figures_tag(replace(model, hypotheses=(said, *model.hypotheses[1:]))) == figures_tag(model)


def test_a_slip_in_a_code_is_told():
    code = Exercise(stove(), 54_321, 1).code()
    slipped = code[:-1] + ("0" if code[-1] != "0" else "1")
    with pytest.raises(WrongCode, match="group 4"):
        unpacked(slipped)


def test_the_command_line_knows_the_range_of_seeds():
    assert command_line.SEEDS == SEEDS
