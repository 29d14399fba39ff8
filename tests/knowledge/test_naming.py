"""The cause that somebody names, by its id as it is or was, and what is told where it will not do."""

from __future__ import annotations

import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.naming import (
    NoSuchCause,
    cause_named,
    cause_numbered,
    causes_listed,
    outcomes,
    says_of,
)
from diagnose.terms import Tree
from tests.cli.cases.step_stuck import STEP_STUCK


@pytest.fixture(scope="module")
def tree() -> Tree:
    found, flaws = read_tree(STEP_STUCK, "step-stuck.yaml", Library().common(), id="step-stuck")
    assert flaws == ()
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("words", "cause"),
    [
        ("grit", "grit"),
        (" GRIT ", "grit"),
        ("not-listed", "not-listed"),
        ("damp+frost", "damp+frost"),
        ("frost+damp", "damp+frost"),
        (" Frost + DAMP ", "damp+frost"),
        ("cold+damp", "damp+frost"),  # frost was called cold
    ],
)
def test_causes_may_stand_in_any_order_and_capitals_and_under_old_ids(
    tree: Tree, words: str, cause: str
) -> None:
    assert cause_named(tree, words) == cause


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("gritt", '"gritt" is no cause of step-stuck (did you mean "grit"?)'),
        ("damp+frots", '"frots" is no cause of step-stuck (did you mean "frost"?)'),
        ("not-lsted", '"not-lsted" is no cause of step-stuck (did you mean "not-listed"?)'),
        (
            "xyzzy",
            '"xyzzy" is no cause of step-stuck; its causes are:\n'
            "  1 grit: Grit holds it\n"
            "  2 damp+frost: Water stands in the hinge and It is below freezing\n"
            "  3 not-listed: Something else, not in this list",
        ),
        ("cold-and-wet", '"cold-and-wet" is what causes lead to, and none itself; write damp+frost'),
        ("damp", "damp makes this symptom only together with others; write damp+frost"),
        ("grit+damp", "grit+damp is more than one cause; one case counts for one, so write grit"),
    ],
)
def test_a_cause_that_will_not_do_is_told_with_what_would(tree: Tree, words: str, told: str) -> None:
    with pytest.raises(NoSuchCause) as refused:
        cause_named(tree, words)
    assert str(refused.value) == told


def test_a_cut_set_is_said_in_the_words_of_the_tree(tree: Tree) -> None:
    assert says_of(tree, "damp+frost") == "Water stands in the hinge and It is below freezing"
    assert says_of(tree, "never-heard-of") == ""


def test_outcomes_have_numbers_that_lead_back_to_them(tree: Tree) -> None:
    listed = outcomes(tree)
    assert [each.cause for each in listed] == ["grit", "damp+frost", "not-listed"]
    assert [cause_numbered(tree, each.number) for each in listed] == [each.cause for each in listed]
    assert cause_numbered(tree, 0) == "not-listed"
    with pytest.raises(NoSuchCause, match="there is no outcome 4; they are:"):
        cause_numbered(tree, 4)
    assert len(causes_listed(tree).splitlines()) == len(listed)
