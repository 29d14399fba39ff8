"""What is made of a draft, whatever its parts say, and the cells of a sheet one by one."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.characters import refused_in_file
from diagnose.knowledge.collection import Library
from diagnose.revising import sheet_of_causes_cells
from diagnose.revising.drafting import Draft, Part, drafted
from diagnose.revising.sheet_of_causes_cells import answers_of, expectation_of, number_of, remedy_of
from diagnose.terminal import new_tree_dialogue_words

COMMON = Library().common()
LETTERS = st.characters(exclude_categories=["C", "Z"]) | st.just(" ")
TEXTS = st.text(LETTERS, min_size=1, max_size=60).filter(
    lambda text: text.strip() and not refused_in_file(text)
)
HEAD = {"symptom": "x", "system": "pests", "refer_to": "workshop", "cured_when": {"ask": "Well?"}}


def made(head, events, checks=()):
    return drafted(
        Draft(Part("", {**HEAD, **head}), events, list(checks)), "x", "x.yaml", COMMON, frozenset()
    )


def cause(id, under="", **values):
    return Part(id, {"says": "So", "hazard": "none", "remedy": {"refer": "workshop"}, **values}, under)


@given(TEXTS, TEXTS, TEXTS)
def test_every_text_comes_back_as_it_was_typed(symptom, says, answer):
    check = Part(
        "c", {"ask": says, "by": "owner", "hands": "look", "minutes": 1, "answers": {"a": answer, "b": "B"}}
    )
    found = made({"symptom": symptom}, [cause("a-cause", says=says)], [check])
    assert found.tree is not None, found.flaws
    assert found.tree.symptom == symptom
    assert found.tree.events["a-cause"].says == found.tree.checks["c"].ask == says
    assert found.tree.checks["c"].answers[0].says == answer


@given(st.dictionaries(st.integers(0, 30), st.sampled_from(sorted(COMMON.hazards)), min_size=1, max_size=6))
def test_ask_first_is_what_the_hazards_need_wherever_they_stand(hazards):
    referrals = {id: each.referral or "workshop" for id, each in COMMON.hazards.items()}
    events = [Part("top", {"says": "So"}, gate="any_of")]
    events += [
        cause(
            f"c{number}",
            "top" if number % 2 else "",
            hazard=hazard,
            remedy={"refer": referrals[hazard]},
            in_100=1,
        )
        for number, hazard in hazards.items()
    ]
    if not any(number % 2 for number in hazards):
        events.pop(0)
    found = made({}, events)
    assert found.tree is not None, found.flaws
    needed = [
        ("gas", "smell-of-gas"),
        ("gas", "co-alarm"),
        ("mains", "mains-harmed"),
        ("high-current", "battery-harmed"),
    ]
    assert list(found.tree.ask_first) == [id for hazard, id in needed if hazard in hazards.values()]


def test_shares_that_are_left_out_take_what_remains_and_are_told():
    found = made({}, [cause("a", in_100=45), cause("b"), cause("c")])
    assert {each.id: each.in_100 for each in found.tree.causes()} == {"a": 45, "b": 25, "c": 25}
    assert "no share was told for b, c: what remains of 100 is spread evenly, 25 each" in found.left


def test_where_nothing_remains_of_100_the_loader_asks_for_the_share():
    found = made({}, [cause("a", in_100=98), cause("b")])
    assert found.tree is None
    assert [flaw.text for flaw in found.flaws] == [
        'cause "b" lacks in_100: of 100 vehicles, how many turn out to be this'
    ]


def test_the_draft_itself_stays_as_it_was_told():
    draft = Draft(Part("", dict(HEAD)), [cause("a")])
    drafted(draft, "x", "x.yaml", COMMON, frozenset())
    assert draft == Draft(Part("", dict(HEAD)), [cause("a")])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("3", (3, "")), ("0,5", (0.5, "")), ("1e1", (10, "")),
        ("12,345", (1, ", which can be read in two ways; write it without a comma")),
        ("two", (1, "; it wants a number")), ("nan", (1, "; it wants a number")),
        ("030", (1, "; it wants a number")),
    ],
)  # fmt: skip
def test_numbers_of_cells(text, said):
    assert number_of(text) == said


def test_what_a_cell_cannot_be():
    assert answers_of("a: A; a: B")[1] == 'the answer "a" stands twice'
    assert answers_of("!!")[1] == 'no id can be made of "!!"; write id: words'
    assert expectation_of("shut; shut 0.1")[1] == 'the answer "shut" stands twice'
    assert expectation_of("?")[1] == '"?" is no answer; write an answer\'s id, and how likely it is'
    assert remedy_of("see: other-tree") == {"see": "other-tree"}
    assert remedy_of("refer the owner to it") == {"do": "refer the owner to it"}
    assert remedy_of("") == {}


@pytest.mark.parametrize("module", [sheet_of_causes_cells, new_tree_dialogue_words])
def test_the_examples_of_the_docstrings(module):
    assert doctest.testmod(module).attempted > 0
    assert doctest.testmod(module).failed == 0
